#include "go_asm.h"
#include "textflag.h"

// Sixteen bytes are looked at together: all of a number that scanRows reads, and the
// character after it. Nothing branches on what the digits are or on how many there
// are: that is what a loop over characters loses its time with.
//
// What the registers of 16 bytes hold throughout: the character 0 (X8), the number
// 9 (X9), the factors that join digits to pairs (X10: 10 and 1), pairs to fours
// (X11: 100 and 1) and fours to eights (X12: 10 000 and 1), the decimal sign (X13).

DATA zeros<>+0(SB)/8, $0x3030303030303030
DATA zeros<>+8(SB)/8, $0x3030303030303030
GLOBL zeros<>(SB), RODATA|NOPTR, $16

DATA nines<>+0(SB)/8, $0x0909090909090909
DATA nines<>+8(SB)/8, $0x0909090909090909
GLOBL nines<>(SB), RODATA|NOPTR, $16

DATA pairs<>+0(SB)/8, $0x010a010a010a010a
DATA pairs<>+8(SB)/8, $0x010a010a010a010a
GLOBL pairs<>(SB), RODATA|NOPTR, $16

DATA fours<>+0(SB)/8, $0x0001006400010064
DATA fours<>+8(SB)/8, $0x0001006400010064
GLOBL fours<>(SB), RODATA|NOPTR, $16

DATA eights<>+0(SB)/8, $0x0001271000012710
DATA eights<>+8(SB)/8, $0x0001271000012710
GLOBL eights<>(SB), RODATA|NOPTR, $16

// func scanRows(with *places, b []byte, cells int, delim, point, eol byte, out []float64, ends []int) int
//
// SI is where b begins, R8 where the number begins, R9 the last place with reach
// bytes behind it, DI the next of out, R10 the next of ends, R11 the rows and R12
// the cells that are left, R14 the places.
TEXT ·scanRows(SB), NOSPLIT, $0-104
	MOVQ    b_base+8(FP), SI
	MOVQ    b_len+16(FP), R9
	LEAQ    -17(SI)(R9*1), R9
	MOVQ    SI, R8
	MOVQ    out_base+48(FP), DI
	MOVQ    ends_base+72(FP), R10
	MOVQ    ends_len+80(FP), R11
	MOVQ    with+0(FP), R14
	MOVOU   zeros<>(SB), X8
	MOVOU   nines<>(SB), X9
	MOVOU   pairs<>(SB), X10
	MOVOU   fours<>(SB), X11
	MOVOU   eights<>(SB), X12
	MOVBLZX point+41(FP), AX // the decimal sign, sixteen times
	MOVQ    AX, X13
	PXOR    X0, X0
	PSHUFB  X0, X13

row:
	MOVQ cells+32(FP), R12

cell:
	CMPQ R8, R9
	JHI  done

	// X0: what each digit is worth, and 0 for every other character. BX: a bit
	// for each character that is neither a digit nor the decimal sign. CX: a bit
	// for each decimal sign.
	MOVOU    (R8), X0
	MOVQ     X0, AX
	MOVO     X0, X2
	PSUBB    X8, X0
	MOVO     X0, X1
	PMINUB   X9, X1
	PCMPEQB  X0, X1
	PAND     X1, X0
	PCMPEQB  X13, X2
	POR      X2, X1
	PMOVMSKB X2, CX
	PMOVMSKB X1, BX
	XORL     $0xffff, BX

	// DX: 1 where a minus sign begins the number, which does not end it.
	XORL  DX, DX
	CMPB  AX, $'-'
	SETEQ DX
	XORL  DX, BX
	JEQ   done // 16 characters or more

	// AX: the number's length. CX: its decimal signs; there may be one.
	TZCNTL BX, AX
	MOVL  BX, R13
	NEGL  R13
	ANDL  BX, R13     // the bit of the character after the number
	LEAL  -1(R13), BX // the bits of the number's own
	ANDL  BX, CX
	XORL  CX, BX
	CMPL  BX, DX
	JEQ   done        // no digit
	LEAL  -1(CX), BX
	TESTL BX, CX
	JNE   done        // two decimal signs

	// R13: one more than the decimal places, 0 without a decimal sign.
	ORL  R13, CX
	TZCNTL CX, CX
	MOVL AX, R13
	SUBL CX, R13

	// The digits to the right, those before the decimal sign over it, and all
	// joined to two whole numbers of eight digits, and these to one.
	MOVOU     places_toRight(R14)(AX*1), X1
	PSHUFB    X1, X0
	MOVL      R13, CX
	SHLL      $4, CX
	MOVOU     places_closeUp(R14)(CX*1), X1
	PSHUFB    X1, X0
	PMADDUBSW X10, X0
	PMADDWL   X11, X0
	PACKUSDW  X0, X0
	PMADDWL   X12, X0
	MOVQ      X0, BX
	MOVL      BX, CX
	SHRQ      $32, BX
	IMUL3Q    $100000000, CX, CX
	ADDQ      CX, BX

	// One division, rounded once; then the sign.
	XORPS    X3, X3
	CVTSQ2SD BX, X3
	DIVSD    places_powers(R14)(R13*8), X3
	SHLQ     $63, DX
	MOVQ     DX, X4
	XORPS    X4, X3
	MOVSD    X3, (DI)
	ADDQ     $8, DI

	// The character after the number.
	ADDQ    AX, R8
	MOVBLZX (R8), AX
	INCQ    R8
	DECQ    R12
	JEQ     last
	CMPB    AX, delim+40(FP)
	JEQ     cell
	JMP     done

last:
	CMPB    AX, eol+42(FP)
	JEQ     rowEnd
	CMPB    AX, $'\r'
	JNE     done
	MOVBLZX (R8), AX
	INCQ    R8
	CMPB    AX, eol+42(FP)
	JNE     done

rowEnd:
	MOVQ R8, AX
	SUBQ SI, AX
	MOVQ AX, (R10)
	ADDQ $8, R10
	DECQ R11
	JNE  row

done:
	MOVQ ends_len+80(FP), AX
	SUBQ R11, AX
	MOVQ AX, ret+96(FP)
	RET
