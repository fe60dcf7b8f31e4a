// What the counter's screens say, in English.
/** @typedef {(n: number) => string} Many */
/** @typedef {(text: string) => string} With */

/** Kinds of trouble, as a customer tells them. */
export const symptom = {
  noise: "noise", no_start: "does not start", running: "runs badly", leak: "leaks", smoke: "smokes", vibration: "shakes", brakes: "brakes",
  handling: "steers or holds the road badly", electrical: "lights or battery", warning_lamp: "a lamp on the dash", other: "something else",
};

/** The question for the password once more. */
export const afresh = {
  title: "Your password once more", act: "Go on",
  why: /** @type {With} */ ((name) => `This needs a password typed within the last five minutes. You are ${name}. What you typed stays as it is.`),
};

export const counter = {
  pages: { now: "Now", said: "What was said", ways: "Ways forward", ask: "Ask the customer", agreed: "What was agreed", parts: "Parts", leaving: "Leaving", papers: "Papers" },
  pagesLabel: "Pages of this job", toCounter: "To the counter", toBench: "To the bench",
  // Intake
  intakeWay: "Intake", intake: "A machine comes in", intakeHint: "Name, machine and the customer's own words are enough to open it; the rest can follow.",
  hereBefore: "Here before? Name, phone, plate or the end of a VIN", notHere: "Not found. Fill in the page below.", thisMachine: "This machine", otherMachine: "Same customer, other machine", someoneElse: "Someone else",
  who: "Who brings it", name: "Name", phone: "Phone", email: "E-mail", contactBy: "Reach them by", contactWords: { phone: "phone", text: "text message", email: "e-mail", post: "post" },
  machine: "Which machine", make: "Make", model: "Model", year: "Year", plate: "Plate", vin: "VIN or frame number", vinHint: "17 characters, or what stands on the frame", map: "Machine map", noMap: "none",
  mapHint: "What it is made of. With a map come first checks, wear limits and ways forward.",
  said: "What the customer says", kind: "What it is", kindWords: { complaint: "something is wrong", request: "a wish: tyre, service, fitting" },
  words: "In the customer's words", wordsHint: "As they say it, not as you would.", symptom: "What kind of trouble", symptomMissing: "Say what kind of trouble it is; \"something else\" will do.",
  when: "When it happens", whenHint: "cold, hot, under load, in the wet", where: "Where on the machine", since: "Since when", often: "How often",
  saidNumber: /** @type {Many} */ ((n) => `Number ${n}`), saidMore: "One thing more", saidDrop: "Drop this one", title: "In a few words, for the list", titleHint: "Left empty, the first words are taken.",
  comesIn: "How it comes in", odometer: "Odometer", odometerHint: "as it stands, with km or mi", unreadable: "Or: cannot be read, because", unreadableHint: "dead display, no display", keys: "Keys handed in", keysHint: "how many", fuel: "Fuel", luggage: "Left with it",
  damage: "Damage already there", damageHint: "Walk round it together. Photos are taken at the bench.", leaveToRide: "May we ride it?", rideWords: { yes: "yes", no: "no", not_known: "not asked" },
  oldParts: "Old parts", oldPartsWords: { return: "give back", keep: "keep for them", exchange: "exchange parts", dispose: "throw away", not_said: "not said" },
  callAbove: /** @type {With} */ ((currency) => `Call me above (${currency})`), callAboveHint: "tax included", intent: "What they mean to do with it", intentWords: { not_said: "not said", keep: "keep it", sell: "sell it", one_more_season: "one more season" },
  channel: "How it came", channelWords: { walk_in: "ridden or brought in", towed_in: "towed in", phone: "by phone", email: "by e-mail", message: "by message" }, bay: "Where it stands", promised: "Promised for",
  open: "Open the work order", startOver: "Start over",
  // Now
  firstChecks: "First checks, in order", firstChecksHint: "The check that finds most for the least time comes first. Example weights until the shop has jobs of its own.", finds: "Finds:", moreChecks: /** @type {Many} */ ((n) => `${n} more`), working: "How this was reckoned",
  held: "On hold", hold: "Put on hold", holdReason: "It waits for", holdWords: { parts: "parts", customer: "the customer", outside: "work done elsewhere", other: "something else" }, until: "Until", lift: "Go on with it", inWords: "In words",
  callMe: "The customer wants to be called", asks: "The customer asks", callWhen: "best:", answer: "Answer", answerLabel: "Your answer", answerHint: "The customer reads it on their page.",
  promises: "Promised", noPromises: "Nothing was promised.", promise: "Write down a promise", promiseWhat: "What was promised", promiseDay: "For which day",
  // Said
  unanswered: "not answered yet", answered: "How it was answered", answerNote: "The answer in words", answerFinding: "By which finding",
  answerWords: { finding: "by a finding", request: "it is a request", normal_for_machine: "normal for this machine", not_reproduced: "could not be reproduced", not_looked_into: "not looked into, at the customer's wish", not_explained: "not explained, and told so" },
  retried: "Tried again after the work", retriedWords: { gone: "gone", still_there: "still there", changed: "changed", not_ridden: "not ridden" },
  // Ways
  lines: "Lines", noLines: "No line yet. Each line names the finding or the wish that calls for it.", all: "All lines:", withTax: "tax included", beforeTax: "before tax", newLine: "New line", addLine: "Add the line",
  lineKind: "What kind", lineKinds: { labour: "labour", part: "part", consumable: "small parts and fluids", sublet: "outside work", fee: "fee" }, lineStates: { proposed: "proposed", agreed: "agreed", done: "done", struck: "struck" },
  lineWhat: "As printed", lineBy: "What calls for it", finding: "Finding", complaint: "Said", calledFor: "For:", minutes: "Minutes", quantity: "How many", perHour: /** @type {With} */ ((currency) => `Per hour (${currency})`), each: /** @type {With} */ ((currency) => `Price each (${currency})`),
  tax: "Tax", lineWork: "Part of the work", workWords: { diagnosis: "diagnosis", teardown: "taking apart", reassembly: "putting back", repair: "repair" }, partNumber: "Part number", partCondition: "New or used", conditionWords: { new: "new", used: "used", rebuilt: "rebuilt", reconditioned: "reconditioned", exchange: "exchange" },
  onlyIfFound: "Only if found worn", ifFound: "only if found", afterRide: "after the ride", ceiling: /** @type {With} */ ((currency) => `At most (${currency})`), ceilingHint: "The most this may come to. It makes the total a range.",
  ways: "Ways forward", waysHint: "Each way answers the same questions, and none is favoured.", newWay: "New way forward", addWay: "Add the way", wayTitle: "In a few words", wayLines: "Lines it holds", change: "Change it", struckLine: "a line struck since",
  scopeKind: "What is asked", scopeKinds: { diagnosis: "checks", teardown: "taking apart", repair: "repair", more_found: "more found", put_back: "putting it back" },
  whatWeDo: "What we do", whatWeDoHint: "For the customer, in plain words.", staysUnknown: "What stays unknown", staysUnknownHint: "What we did not open or could not measure.", earliest: "Ready at the earliest", mayRide: "May it be ridden?",
  mayRideWords: { not_known: "not known", yes: "yes", no: "no", after_work: "after the work" }, warranty: "What we promise for the work", deposit: "Deposit", depositIn: /** @type {With} */ ((currency) => `Deposit (${currency})`),
  terms: "Before anything is taken apart", termsHint: "The rule of the shop says which of these must be told.",
  termWords: { area_or_component: "What is taken apart", teardown_cost: "What taking apart costs", reassembly_cost: "What putting back costs", parts_and_labor_destroyed: "Parts and work lost by it", max_reassembly_time: "Longest time to put it back", may_prevent_restoration: "May it be impossible to restore?" },
  toAsk: "Ask the customer", toWays: "Make one",
  suggest: "Out of the findings", suggestHint: "Opening up and closing stand as a line of their own, once.", suggestOpen: "Make lines and ways of the findings", suggestAct: "Make them", suggested: /** @type {(lines: number, ways: number) => string} */ ((lines, ways) => `${lines} lines and ${ways} ways were made. Read them before you ask the customer.`),
  pricesMissing: "No price, so no line:", rate: "Labour rate", anotherPart: "Another part", partName: "Part", arrives: "Here on",
  // Ask
  makeOffer: "A new question", makeOfferAct: "Fix it and ask", offerWays: "Which ways to offer", priceUntil: "Prices hold until", noWays: "There is no way forward to offer yet.", newFindings: "Something was found since this was sent. Look whether the question still holds.",
  offer: /** @type {Many} */ ((n) => `Question ${n}`), asked: "Asked before", askedAt: "Asked", offerStates: { open: "open", decided: "answered", withdrawn: "taken back", changed: "changed since", lapsed: "ran out" },
  sendLink: "Send a link", sendLinkHint: "Whoever has the link can answer. It ends by itself, and a new one does not end the old.", linkHours: "Hours to decide", byMail: /** @type {With} */ ((address) => `Send to ${address}`), byText: /** @type {With} */ ((number) => `Text ${number}`), linkAlone: "Show me the link",
  noMail: "No mail server is set up, so the link cannot go by e-mail.", linkMade: "Here is the link.", linkSent: "The link is on its way.", linkUntil: "It takes an answer until", link: "Link", linkOnce: "It is shown this once. Give it to the customer and nobody else.", copy: "Copy", copied: "Copied",
  withdrawOffer: "Take the question back", takeAnswer: "Take the answer here", recordAnswer: "Record the answer", method: "How they answer", methodWords: { spoken: "on the phone", in_person: "in the shop", message: "by a message of theirs" }, allMethods: { spoken: "on the phone", in_person: "in the shop", message: "by message", link: "on the page" },
  shownAs: "How they have it before them", shownWords: { screen: "on this screen", paper: "on paper", read_out: "read out" }, script: "Words to read out", decision: "What they decide", decisionWords: { agreed: "Yes", declined: "No to all of it" }, decisionMissing: "Say whether it was a yes or a no.", which: "Which way", wayMissing: "Say which way they chose.",
  spokeName: "Who answers", spokeNameHint: "The name they give", relation: "Who they are to the owner", relationHint: "the owner, or whom the owner named", identified: "How you knew it was them", identifiedHint: "known to the shop, called back on the number we have, papers seen",
  numberCalled: "Number called", addressUsed: "Number or address it came from", saidAt: "When it was said", saidAtNow: "Left empty, it is now.", now: "Now", saidBack: "What they said back", saidBackHint: "Have them say back what they agree to, with the total. Their words.", wrote: "What they wrote", wroteHint: "Word by word.",
  electronic: "They agree to have this electronically", electronicHint: "Ask it apart. If they want paper, print it.", readyOn: "Ready on", readyOnHint: "Left empty, the day the question shows.", dayStands: "The promised day stands", copyTo: "Copy goes to", copyToHint: "Left empty, to the address on record.", remark: "Remark",
  upTo: "A yes up to a sum", upToHint: "For small work, where the rule allows it: nothing is looked at first, and nothing above the sum is done.", upToOpen: "Take a yes, up to", upToFor: "For what", upToKinds: { drop_off: "this work, at drop-off", diagnosis: "checks", repair: "repair" },
  upToAmount: /** @type {With} */ ((currency) => `Up to (${currency})`), upToAmountHint: "tax included", upToWork: "Which work", upToWorkHint: "as they said it", upToWord: "up to",
  rule: /** @type {With} */ ((name) => `The rule here: ${name}`), ruleSource: "Source:", ruleRead: "Read on", ruleChecked: "checked by a person:", never: "never",
  // Agreed
  nothingAgreed: "Nothing is agreed yet.", against: "What it comes to against what was agreed", agreedTo: "Agreed", comesTo: "Comes to", most: "Most without asking again", askFirst: "Ask before this is billed.", within: "Within what was agreed.",
  consentKinds: { diagnosis: "checks", teardown: "taking apart", repair: "repair", more_found: "more found", put_back: "putting it back", drop_off: "at drop-off" }, takenBack: "taken back", wording: "In these words", meaning: "What it means", takenBy: "Taken by", receipt: "Receipt to keep", recordPdf: "Record as PDF", takeBack: "The customer takes it back", whyBack: "Why, in their words",
  // Parts
  noParts: "No part is ordered.", orderPart: "Write down an order", notOrdered: "Parts of the estimate without an order", arrived: "Arrived", promisedFor: "Promised for", ordered: "Ordered", notYetOrdered: "not ordered", forLine: "For which line", supplier: "From", priceThen: "Price when ordered", priceNow: "Price when it came", superseded: "Replaced by number",
  // Leaving
  bills: "Bill", noBill: "No bill yet.", bill: /** @type {Many} */ ((n) => `Bill ${n}`), onTerms: "Paid later, by agreement", terms2: "What was agreed", voided: "void:", voidBill: "Void it", net: "Before tax", makeBill: "Make the bill", billJobs: "Jobs on it",
  payments: "Money", paymentKinds: { payment: "payment", deposit: "deposit", refund: "given back" }, payWords: { card: "card", cash: "cash", transfer: "transfer", other: "other" }, takePayment: "Write down a payment", payKind: "What it is", payHow: "How", amountIn: /** @type {With} */ ((currency) => `Amount (${currency})`),
  advice: "Advice and what is still open", adviceKind: "What it is", adviceKinds: { advice: "advice", recheck: "look again", still_open: "still open" }, addAdvice: "Write down advice", dueOn: "By when", dueDistance: "Or at what distance", told: "The customer was told", notTold: "not told yet",
  handOver: "Handing over", handedTo: "Who takes it", odometerOut: "Odometer now", transport: "How it leaves", transportWords: { ridden: "ridden", trailer: "on a trailer", van: "in a van", carried: "carried" }, oldPartsNow: "The old parts were", oldPartsDone: { none_replaced: "none: nothing was replaced", returned: "given back", kept: "kept", exchanged: "exchanged", disposed: "thrown away" },
  stillOpen: "What is still open", recheckOn: "Comes again on", evidenceUntil: "Failed parts, oil and filter kept until", evidenceHint: "where a claim may come", adviceGiven: "Advice and dates were gone through", cautionsTold: "Cautions were said", selfTold: "Told that one person checked their own work", doNotStartTold: "Told not to start it",
  notRunCaution: "It was put back and not run. Say before the keys go back: do not start it; it leaves on a trailer or in a van.", withdraw: "The customer takes it as it stands", withdrawHint: "Say how it leaves and what was warned of. Then the step stands ready under Now.", leavesAs: "How it leaves", leavesWords: { complete: "complete", in_boxes: "in boxes", movable_only: "can only be moved" }, askedBy: "Who asked for it", warningsTold: "Warnings given",
  // Papers
  papers: { findings: "What was found", machine_label: "Label for the machine", bench_sheet: "Bench sheet", labels: "Labels for bags" }, papersHint: { findings: "Findings with photos, for the customer.", machine_label: "Number, plate and how it stands.", bench_sheet: "What was said, what to look at, what came off.", labels: "One for each tag of this job, on a label sheet." }, getPdf: "Get the PDF",
};
