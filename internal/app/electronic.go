package app

import "maps"

// ElectronicVersion names the statement on electronic form that offers carry
// now. It changes with every change of its words; a consent keeps the version
// it saw, and its document the words.
const ElectronicVersion = "2"

// electronicStatements are the statements by version. A version that was ever
// shown is never changed and never taken out.
//
// The second follows what 15 USC 7001(c)(1) asks to be told before somebody
// agrees to electronic records: the right to paper, the right to withdraw and
// what follows from it, what the agreement covers, how to get a copy and what
// it costs, and what is needed to read it. It claims no more than it is: a
// simple electronic signature (Regulation (EU) 910/2014, Article 3(10) and
// 25(1)).
func electronicStatements() map[string]string {
	return map[string]string{
		"1": "You may answer on this page, by phone or in person; on paper if you ask for it. " +
			"Typing your name here counts as a simple electronic signature and as nothing more. " +
			"The page stays readable until the link ends; keep a copy, or ask the shop for one.",
		"2": "This is about this one offer and your answer to it. You need not answer electronically: you may answer by phone or in person, and you get the offer on paper if you ask for it, free of charge. " +
			"To read and keep this you need a browser on a phone or computer, and something to print or save a page with. " +
			"You may take this agreement back at any time before the work is done by calling the shop or writing to it; it costs nothing, and from then on we use paper. What you agreed to before stays agreed. " +
			"If your phone number or mail address changes, tell the shop. " +
			"Typing your name here counts as a simple electronic signature and as nothing more. " +
			"The page stays readable until the link ends; keep a copy, or ask the shop for one.",
	}
}

// ElectronicStatement gives the words of a version, "" for one never shown.
func ElectronicStatement(version string) string { return electronicStatements()[version] }

// ElectronicVersions lists every version that was ever shown.
func ElectronicVersions() []string {
	var out []string
	for v := range maps.Keys(electronicStatements()) {
		out = append(out, v)
	}
	return out
}

// statementVersion is the version of the statement in a document.
func (d OfferDocument) statementVersion() string {
	if d.StatementVersion == "" {
		return "1"
	}
	return d.StatementVersion
}
