package main

import (
	"github.com/spf13/pflag"

	"setdown/gait/diary"
)

// answerFlag is a flag that is answered yes or no, and where it goes.
type answerFlag struct {
	flag, text string
	into       *diary.Answer
}

// applyAnswers puts in the answers that were given.
func applyAnswers(flags *pflag.FlagSet, answers []answerFlag) error {
	for _, x := range answers {
		if !flags.Changed(x.flag) {
			continue
		}
		a, err := diary.ParseAnswer(x.text)
		if err != nil {
			return &usageError{"--" + x.flag + ": " + err.Error(), "for example --" + x.flag + " no"}
		}
		*x.into = a
	}
	return nil
}

// wordFlag is a flag that is given in words, and where it goes.
type wordFlag struct {
	flag, text string
	into       *string
}

// applyWords puts in the words that were given.
func applyWords(flags *pflag.FlagSet, words []wordFlag) {
	for _, x := range words {
		if flags.Changed(x.flag) {
			*x.into = x.text
		}
	}
}
