package gait

import (
	"fmt"
	"strings"
)

// validationCommand makes the document.
const validationCommand = "SETDOWN_LONG=1 go test ./gait -run TestValidation -timeout 3h -update"

// document joins the chapters.
func document(all []*chapter) string {
	var b strings.Builder
	fmt.Fprintf(&b, `# How well setdown measures

This page is made by one command, from runs that anyone can repeat:

    %s

It takes some tens of minutes on two cores and reads the open recordings beside the project. Change the tests
(gait/validation*_test.go), not this page. One recording at a time: `+"`setdown simulate`, `setdown analyze`, `setdown score`"+`.

Everything under "simulated" is about the model of docs/simulator.md: it shows that the measuring works on motion of that
kind. It says nothing about patients. Seeds from %d on were not used while anything was tuned.

`, validationCommand, drawnSeed)
	summary(&b, all)
	b.WriteString(published)
	for _, c := range all {
		fmt.Fprintf(&b, "## %s\n\n%s", c.title, c.text.String())
	}
	b.WriteString(notShown)
	return b.String()
}

// summary lists every target with what was measured, missed ones first.
func summary(b *strings.Builder, all []*chapter) {
	var missed, met []string
	for _, c := range all {
		for _, g := range c.goals {
			row := fmt.Sprintf("| %s | %s | %s |\n", g.what, g.limit, g.got)
			if g.met {
				met = append(met, row)
			} else {
				missed = append(missed, row)
			}
		}
	}
	fmt.Fprintf(b, "## Targets\n\n%d targets, %d met.\n\n", len(missed)+len(met), len(met))
	if len(missed) > 0 {
		fmt.Fprintf(b, "**Missed**\n\n| | target | measured |\n|---|---|---|\n%s\n", strings.Join(missed, ""))
	}
	fmt.Fprintf(b, "**Met**\n\n| | target | measured |\n|---|---|---|\n%s\n", strings.Join(met, ""))
}

// published are figures of the literature, abstracts read in the sources named;
// they come from people and laboratories, the simulated ones do not.
const published = `## Published figures to compare with

From abstracts, other people, other references: of the same order, not the same thing as the simulated figures here.

| source | sensor and reference | result |
|---|---|---|
| Falbriard et al. 2018, Front Physiol 9:610 | foot, running, 41 people, instrumented treadmill | initial contact ± 1–3 ms precision (2 ± 1), toe-off 4 ± 2 ms; contact time bias up to ± 12 ± 10 ms |
| Falbriard et al. 2020, Front Bioeng Biotechnol 8:65 | foot, running, 26 people, optical | foot angle just before contact: accuracy 2.0 ± 5.9°, precision 1.6 ± 1.1° |
| Prijot et al. 2020 | foot, running, 10 people, 200 Hz video, 7056 events | initial contact median 5 ms (quartiles −5, 15), toe-off 0 ms (−5, 5) |
| ISBS Proceedings 35:504, 2017 | foot, 35 people, treadmill | contact time −10.5 ± 2.2 %, strike angle 3.9 ± 5.3° |
| Trojaniello et al. 2014, J NeuroEng Rehabil 11:152 | above the ankles, 40 patients and elderly, mat | contacts 0–11 ms by group, none missed or invented |
| Jasiewicz et al. 2006, Gait Posture 24:502 | foot and shank, walking, foot switches | as good as switches in normal gait |
| Khandelwal, Wickström 2017 | ankle acceleration, indoor and street, 6 methods | median F1 of heel strike 0.98 indoors, 0.82 on the street; toe-off 0.94, 0.53 |
| Kiernan et al. 2023, Sensors 23:5022 | shank, 74 runners, force plate | best initial contact +17 ms (limits −97, +132) |

Nothing published was found on the error of foot-flat in running, or of the lowering rate.

`

// notShown says what these figures do not show.
const notShown = `## What is not shown

- **No patients.** Nothing here was measured on anybody with a weak or painful tibialis anterior. The gain of the model is
  not a muscle test.
- **No outside truth of the lowering.** Peak lowering rate, rate at foot-flat and deceleration fraction were compared with
  the model only. Foot-flat in the open walking recordings has a light-curtain reference, which spreads by more than the
  method; in running there is none.
- **No outside truth of running with two feet.** The open running recording has one sensor and an optical foot-down that is
  not initial contact.
- **The model is simpler than a foot**: rigid foot, no toes, no shoe that flexes, landing and control independent of each
  other, legs that wander independently. A shoe or lace that moves the sensor is one mass on a spring.
- **Constant offsets** of initial contact against a force plate (sensor delay, threshold of the plate) were not measured:
  the open recordings' sensors were aligned by waveform. They cancel between the feet if both sensors are of one kind.
- **Refitting.** The default floors stand in for the person's own; no recording with sensors taken off and put on again
  by a person was available.
- **Open recordings** are few people, healthy, and were looked at while detection was written.
`
