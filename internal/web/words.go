package web

import (
	"strings"

	"benchtag/internal/shop"
)

// plain is what an unlisted word falls back to: itself, readable.
func plain(word string) string { return strings.ReplaceAll(word, "_", " ") }

// say looks a word up and falls back to the word itself.
func say[K ~string](words map[K]string, word K) string {
	if s, ok := words[word]; ok {
		return s
	}
	return plain(string(word))
}

// gradeWords name the five condition grades, 0 to 4.
func gradeWords() []string {
	return []string{"as new", "serviceable", "near limit", "beyond limit", "failed"}
}

// gradeMeanings say what each grade means to somebody who rides.
func gradeMeanings() []string {
	return []string{
		"Like a new part.",
		"Worn a little. It can go on.",
		"Still good, but most of its life is used up.",
		"Worn past what it may be.",
		"It does not do its job any more.",
	}
}

// damageWords says a damage mode as a workshop would.
func damageWords(m shop.DamageMode) string {
	return say(map[shop.DamageMode]string{
		shop.DamageModeUnset:              "",
		shop.DamageModeStrippedThread:     "thread stripped",
		shop.DamageModeHeatBlued:          "turned blue from heat",
		shop.DamageModeWiped:              "bearing surface wiped off",
		shop.DamageModeHooked:             "teeth hooked",
		shop.DamageModeHollowed:           "hollowed out",
		shop.DamageModeScored:             "scored (deep scratches)",
		shop.DamageModeChafed:             "rubbed through",
		shop.DamageModePerished:           "hard or cracked with age",
		shop.DamageModeContaminated:       "dirty or mixed with something",
		shop.DamageModeWrongPart:          "wrong part fitted",
		shop.DamageModeBadlyFittedBefore:  "badly fitted before",
		shop.DamageModeElectricalOpen:     "electrical break",
		shop.DamageModeElectricalShort:    "electrical short",
		shop.DamageModeSurfaceFatigue:     "pitted (small bits broken out)",
		shop.DamageModeScuffing:           "scuffed (metal dragged off)",
		shop.DamageModePlasticDeformation: "pushed out of shape",
		shop.DamageModeToothBreakage:      "tooth broken off",
		shop.DamageModeFretting:           "rubbed at a tight fit",
		shop.DamageModeIndented:           "dented by something hard",
	}, m)
}

// answerWords says what the shop answers to a complaint.
func answerWords(a shop.Answer) string {
	return say(map[shop.Answer]string{
		shop.AnswerUnset:            "Not answered yet. Ask the shop.",
		shop.AnswerFinding:          "We found something. It is listed below.",
		shop.AnswerRequest:          "This is work you asked for.",
		shop.AnswerNormalForMachine: "This is normal for this motorcycle.",
		shop.AnswerNotReproduced:    "We tried, and it did not show up.",
		shop.AnswerNotLookedInto:    "You asked us not to look into this.",
		shop.AnswerNotExplained:     "We could not explain this.",
	}, a)
}

// advisedWords says what the technician advises for a part.
func advisedWords(a shop.Advised) string {
	return say(map[shop.Advised]string{
		shop.AdvisedUnset:         "",
		shop.AdvisedReuse:         "use it again",
		shop.AdvisedCleanAndReuse: "clean it and use it again",
		shop.AdvisedAdjust:        "adjust it",
		shop.AdvisedRework:        "rework it",
		shop.AdvisedSendOut:       "send it out to a specialist",
		shop.AdvisedReplace:       "replace it",
		shop.AdvisedLookFurther:   "look further",
		shop.AdvisedWatch:         "watch it and check again",
	}, a)
}

// safeWords says whether a finding is safe to ride with.
func safeWords(y shop.YesNo) string {
	return say(map[shop.YesNo]string{
		shop.YesNoYes:      "Yes.",
		shop.YesNoNo:       "No, do not ride.",
		shop.YesNoNotKnown: "Not known. Ask before you ride.",
	}, y)
}

// rideWords answers "May I ride it".
func rideWords(a shop.RideAnswer) string {
	return say(map[shop.RideAnswer]string{
		shop.RideAnswerYes:       "Yes.",
		shop.RideAnswerNo:        "No. Do not ride it.",
		shop.RideAnswerAfterWork: "Only after this work is done.",
		shop.RideAnswerNotKnown:  "Not known. Do not ride it before you have asked.",
	}, a)
}

// kindQuestion is what the page asks, as its heading.
func kindQuestion(k shop.ScopeKind) string {
	return say(map[shop.ScopeKind]string{
		shop.ScopeKindDiagnosis: "May we look for the cause?",
		shop.ScopeKindTeardown:  "May we take it apart to see?",
		shop.ScopeKindRepair:    "How should we go on?",
		shop.ScopeKindMoreFound: "We found more. How should we go on?",
		shop.ScopeKindPutBack:   "Should we put it back together?",
	}, k)
}

// lineWords says what a line pays for.
func lineWords(k shop.LineKind) string {
	return say(map[shop.LineKind]string{
		shop.LineKindLabour:     "work",
		shop.LineKindPart:       "part",
		shop.LineKindConsumable: "small items used up",
		shop.LineKindSublet:     "work by another shop",
		shop.LineKindFee:        "fee",
	}, k)
}

// certaintyWords says whether a line will surely be there.
func certaintyWords(c shop.Certainty) string {
	return say(map[shop.Certainty]string{
		shop.CertaintyCertain:  "needed",
		shop.CertaintyPossible: "only if found",
	}, c)
}
