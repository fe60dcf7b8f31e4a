package layers_test

// A group of packages, by what its code may lean on.
type group int

const (
	core     group = iota // pure: a short list of the standard library, named core packages
	data                  // embedded files and nothing else
	inner                 // the use cases and what adapts them to a technology
	program               // a main package
	forTests              // for tests alone; only tests import it
)

// A rule says what the code of one package, its tests aside, may import.
type rule struct {
	path    string // below the module's root
	group   group
	project []string // packages of the project, by path; "core" stands for all of core, "*" for all
	modules []string // what else, by prefix of the import path; "*" stands for all
	tablet  bool     // part of what the tablet loads, so nothing that makes it large
	why     string
}

// rules is the import rule. Where a line seems too strict, ask first whether
// the code stands in the right package; then change the line and its reason.
var rules = []rule{
	{path: "internal/fault", group: core, tablet: true,
		why: "kinds of error; everybody's ground, so it stands on nothing"},
	{path: "internal/wire", group: core, project: []string{"internal/fault"},
		why: "JSON that can be understood in one way only; what it means is for others"},
	{path: "internal/chance", group: core, tablet: true,
		why: "normal, Student and beta distributions, for whoever reckons with doubt"},
	{path: "internal/money", group: core, project: []string{"internal/fault"},
		why: "amounts know no nouns of the shop"},
	{path: "internal/shop", group: core, project: []string{"internal/fault", "internal/money"},
		why: "plain nouns and ids, with rates and deposits in money"},
	{path: "internal/measure", group: core, project: []string{"internal/fault", "internal/chance"}, tablet: true,
		why: "quantities and their uncertainty know nothing of motorcycles"},
	{path: "internal/grade", group: core, project: []string{"internal/fault", "internal/measure", "internal/chance"}, tablet: true,
		why: "judges a measured value against limits, whatever was measured"},
	{path: "internal/pad", group: core, project: []string{"internal/fault", "internal/measure", "internal/grade"}, tablet: true,
		why: "asks measure and grade for a tablet, in lines of text; what a reading belongs to is for others"},
	{path: "internal/layout", group: core, project: []string{"internal/fault", "internal/wire", "internal/measure", "internal/grade", "internal/shop"},
		why: "machine maps and limit sheets: components with measured points and their limits"},
	{path: "internal/spread", group: core, project: []string{"internal/fault", "internal/measure", "internal/shop", "internal/layout", "internal/debris", "internal/access"},
		why: "walks the map's circuits with debris, and knows what getting to a look costs; money and law do not move metal"},
	{path: "internal/access", group: core, project: []string{"internal/fault", "internal/shop", "internal/layout"},
		why: "steps of the map and minutes; what they cost is for estimate"},
	{path: "internal/estimate", group: core, project: []string{"internal/fault", "internal/money", "internal/shop", "internal/layout", "internal/access", "internal/spread"},
		why: "prices a plan of access and says what stays exposed"},
	{path: "internal/consent", group: core, project: []string{"internal/fault", "internal/money", "internal/shop"},
		why: "the law knows amounts and changes, not components"},
	{path: "internal/checks", group: core, project: []string{"internal/fault", "internal/shop", "internal/layout", "internal/chance", "internal/wire"},
		why: "orders quick looks at what the map has"},
	{path: "internal/debris", group: core, project: []string{"internal/fault", "internal/measure", "internal/shop", "internal/layout"},
		why: "judges what was caught, by size, material and place"},
	{path: "internal/flow", group: core, project: []string{"internal/fault", "internal/shop"},
		why: "gates read facts that the use cases have drawn from the engines, so it needs no engine"},
	{path: "internal/journal", group: core, project: []string{"internal/fault", "internal/shop"},
		why: "hashes bytes; what they mean is not its business"},
	{path: "internal/figures", group: core, project: []string{"internal/fault", "internal/money", "internal/shop", "internal/measure", "internal/layout", "internal/flow", "internal/chance"},
		why: "counts over closed jobs, their stages and readings"},
	{path: "internal/reckon", group: core, project: []string{"core"},
		why: "every engine by its name, JSON in and JSON out, the same at a shell and over HTTP"},
	{path: "internal/auth", group: core, project: []string{"internal/fault", "internal/shop"},
		why: "who may do what, as a table; how they prove who they are is for its subfolders"},

	{path: "openapi", group: data, why: "the contract and its embed"},
	{path: "migrations", group: data, why: "the schema of both databases and its embed"},

	{path: "internal/app", group: inner, project: []string{"core"},
		why: "use cases: ports for clock, ids, databases and the rest, so no technology here"},
	{path: "internal/store", group: inner, project: []string{"core", "internal/app", "migrations"},
		modules: []string{"gorm.io/", "github.com/jackc/pgx/v5", "modernc.org/sqlite", "github.com/pressly/goose/v3"},
		why:     "the only place that speaks SQL"},
	{path: "internal/photo", group: inner, project: []string{"core", "internal/app"},
		modules: []string{"golang.org/x/image", "github.com/bep/imagemeta", "github.com/minio/minio-go/v7"},
		why:     "decodes pictures and keeps their bytes"},
	{path: "internal/document", group: inner, project: []string{"core", "internal/app"},
		modules: []string{"codeberg.org/go-pdf/fpdf", "codeberg.org/go-fonts/", "rsc.io/qr", "github.com/boombuler/barcode"},
		why:     "papers and labels"},
	{path: "internal/phone", group: inner,
		modules: []string{"github.com/nyaruka/phonenumbers"},
		why:     "the numbering plans are 6 MB of someone else's data, so they stay behind a port"},
	{path: "internal/notify", group: inner, project: []string{"core", "internal/app"},
		modules: []string{"github.com/wneessen/go-mail"},
		why:     "hands messages to the outside over mail and HTTP"},
	{path: "internal/auth/keyfile", group: inner,
		why: "files for their owner alone, whatever secret is in them"},
	{path: "internal/auth/token", group: inner, project: []string{"core", "internal/app", "internal/auth/keyfile"},
		modules: []string{"github.com/golang-jwt/jwt/v5", "github.com/google/uuid"},
		why:     "the only place that signs and reads tokens"},
	{path: "internal/discreet", group: inner, modules: []string{"github.com/jackc/pgx/v5/pgconn"},
		why: "stands at the door of the log, and knows which errors quote values"},
	{path: "internal/anchor", group: inner, project: []string{"core", "internal/app", "internal/auth/keyfile"},
		why: "keeps the journal's key and last checkpoints as files, so that they do not lie in the database"},
	{path: "internal/auth/secret", group: inner, project: []string{"core", "internal/app"},
		modules: []string{"github.com/alexedwards/argon2id", "golang.org/x/crypto/argon2", "github.com/trustelem/zxcvbn/frequency", "golang.org/x/text/unicode/norm"},
		why:     "the only place that hashes passwords and PINs"},
	{path: "internal/auth/vault", group: inner, project: []string{"internal/auth/keyfile"},
		why: "seals under a key of its own; it need not know what"},
	{path: "internal/web", group: inner, project: []string{"core", "internal/app"},
		modules: []string{"go.yaml.in/yaml/v4"},
		why:     "the customer's page calls the use cases; the staff app is files that call the API, so it imports neither api nor store; YAML to read the contract, handed to it as bytes, in its own order"},
	{path: "api", group: inner, project: []string{"core", "internal/app", "openapi"},
		modules: []string{"github.com/labstack/echo/v4", "github.com/getkin/kin-openapi", "github.com/oapi-codegen/runtime", "golang.org/x/time/rate"},
		why:     "JSON over HTTP; it reaches the database through use cases only"},

	{path: "cmd/benchtag", group: program, project: []string{"*"}, modules: []string{"*"},
		why: "the wiring, the only place that sees everything"},
	{path: "cmd/benchwasm", group: program, project: []string{"core"},
		why: "the pure core for the tablet"},

	{path: "internal/testkit", group: forTests, modules: []string{"github.com/google/go-cmp", "github.com/jackc/pgx/v5"},
		why: "serves the tests of every package, so it can import none of them"},
	{path: "internal/store/storetest", group: forTests, project: []string{"core", "internal/app", "internal/store", "internal/testkit", "migrations"}, modules: []string{"*"},
		why: "one suite for both databases"},
	{path: "internal/layers", group: forTests, why: "the rule itself"},
}

// coreStd is what core may take from the standard library: nothing that
// reads a clock, draws a number, reaches outside the process or logs. (Of
// package time, the calls in clockCalls are banned besides.)
var coreStd = []string{
	"bytes", "cmp", "container/heap", "crypto/ed25519", "crypto/hmac", "crypto/sha256", "crypto/subtle", "embed",
	"encoding/base64", "encoding/binary", "encoding/hex", "encoding/json", "errors", "fmt", "hash", "io", "io/fs", "iter",
	"maps", "math", "math/big", "math/bits", "path", "regexp", "slices", "sort", "strconv", "strings", "sync", "time",
	"unicode", "unicode/utf16", "unicode/utf8",
}

// dataStd is what a package of embedded files needs.
var dataStd = []string{"embed", "io/fs"}

// tabletBans keeps the tablet's program small: each of these drags in
// reflection or tables that its first load cannot afford.
var tabletBans = []string{"fmt", "encoding/json", "math/big", "regexp"}

// tabletDebts are imports that tabletBans forbids and that still stand.
// Take a line out when its import is gone; a line without one fails.
var tabletDebts = map[string]string{}

// clockCalls are functions of package time that read or wait for the clock.
var clockCalls = []string{"Now", "Since", "Until", "Sleep", "After", "AfterFunc", "NewTimer", "NewTicker", "Tick"}

// homes are modules that one package alone may import, the wiring included.
var homes = []struct{ module, home, why string }{
	{"github.com/labstack/echo", "api", "so that a later version is a change of one package"},
	{"gorm.io/", "internal/store", "one door to the database"},
	{"github.com/golang-jwt/jwt", "internal/auth/token", "one place to check how tokens are verified"},
	{"github.com/alexedwards/argon2id", "internal/auth/secret", "one place that sets the cost of a hash"},
	{"github.com/nyaruka/phonenumbers", "internal/phone", "one place that reads phone numbers"},
	{"golang.org/x/crypto/argon2", "internal/auth/secret", "one place that sets the cost of a hash"},
}

// testModules are what the tests of any package may import: tools, and
// independent implementations to compare the core with.
var testModules = []string{
	"github.com/google/go-cmp", "pgregory.net/rapid", "go.uber.org/goleak", "github.com/santhosh-tekuri/jsonschema/v6",
	"gonum.org/v1/gonum", "github.com/cockroachdb/apd/v3", "github.com/bojanz/currency", "golang.org/x/mod/sumdb",
	"github.com/transparency-dev/merkle", "github.com/makiuchi-d/gozxing",
	"github.com/emersion/go-smtp", "github.com/emersion/go-sasl", "golang.org/x/net/dns/dnsmessage", "github.com/standard-webhooks/standard-webhooks/libraries/go",
}

// testBans are what tests do not import either.
var testBans = []struct{ module, why string }{
	{"github.com/stretchr/testify", "go-cmp and plain ifs say it"},
}
