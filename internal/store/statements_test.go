package store_test

import (
	"context"
	"errors"
	"fmt"
	"go/ast"
	"go/parser"
	"go/token"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"benchtag/internal/app"
	"benchtag/internal/shop"
	"benchtag/internal/store"
	"benchtag/internal/store/storetest"
)

// worldly are the statements outside the tenant wall: they name slugs and
// count shops, and reach no shop's rows.
var worldly = []string{"shop_slugs"}

// TestRegistryIsWhole proves that every statement of the source is in the
// registry, and that it names its shop.
func TestRegistryIsWhole(t *testing.T) {
	t.Parallel()
	registered := store.Registry()
	written := writtenStatements(t)
	if len(written) < 15 {
		t.Fatalf("found %d statements in the source", len(written))
	}
	for name, text := range written {
		if !slices.Contains(registered, text) {
			t.Errorf("%s is not in the registry", name)
		}
		if !strings.Contains(text, "shop_id = ?") && !strings.Contains(text, "(shop_id, ") && !strings.Contains(text, worldly[0]) {
			t.Errorf("%s names no shop", name)
		}
	}
	if len(registered) != len(written) {
		t.Errorf("%d statements are registered, %d written", len(registered), len(written))
	}
}

// writtenStatements reads the constants of type statement from the source.
func writtenStatements(t *testing.T) map[string]string {
	t.Helper()
	files, err := filepath.Glob("*.go")
	if err != nil || len(files) == 0 {
		t.Fatalf("no source: %v", err)
	}
	all := map[string]string{}
	for _, name := range files {
		source, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		file, err := parser.ParseFile(token.NewFileSet(), name, source, 0)
		if err != nil {
			t.Fatal(err)
		}
		ast.Inspect(file, func(n ast.Node) bool {
			spec, ok := n.(*ast.ValueSpec)
			if !ok || fmt.Sprint(spec.Type) != "statement" {
				return true
			}
			for i, value := range spec.Values {
				text, err := strconv.Unquote(value.(*ast.BasicLit).Value)
				if err != nil {
					t.Fatal(err)
				}
				all[spec.Names[i].Name] = text
			}
			return true
		})
	}
	return all
}

// canaries fills each statement as a caller in one shop would who knows all
// ids of another: only the shop is the caller's own.
func canaries(mine shop.ShopID, their map[string]string) map[string][]any {
	own, at := string(mine), time.Date(2026, 3, 2, 0, 0, 0, 0, time.UTC)
	order, staff, customer := their["work_orders"], their["staff"], their["customers"]
	hash := make([]byte, 32)
	later := at.AddDate(10, 0, 0)
	return map[string][]any{
		"stmtCount":          {own, "work_order", 3},
		"stmtSlugClaim":      {"shop-2", own},
		"stmtSlugFind":       {"shop-1"},
		"stmtShopCount":      {},
		"stmtShopList":       {},
		"stmtHeadMake":       {own, "work_order", order, hash},
		"stmtHeadLockSQLite": {own, order},
		"stmtHeadLock":       {own, order},
		"stmtHeadMove":       {9, hash, own, order, 1},
		"stmtEntryAdd":       {own, order, 1, hash, hash, at, "staff", staff, "x", "x", staff, 1},
		"stmtBodyAdd":        {own, order, 1, hash, hash, customer},
		"stmtEntries":        {own, order, 0, 100},
		"stmtSealedFor":      {own, customer, "00000000-0000-0000-0000-000000000000", 0, 100},
		"stmtKeyMake":        {own, customer, hash, at},
		"stmtKeyFind":        {own, customer},
		"stmtRecall":         {own, staff, "r", "k"},
		"stmtRemember":       {own, staff, "r", "k2", "f", 200, "", hash, at},
		"stmtFloor":          {own, "00000000-0000-0000-0000-000000000000", 100},
		"stmtFloorMark":      {own, own, own},
		"stmtTagBlock":       {own, 1 << 40},
		"stmtTagsLying":      {own, 1, their["tags"], their["tags"], 100},
		"stmtSearch":         {own, -1, -1, 8, "%", "%", "%", "", "%", "%", "%", "", "%", "%", "%", "%", "%", 100},
		"stmtPhotoUsage":     {staff, staff, own},
		"stmtHistory":        {own, "00000000-0000-0000-0000-000000000000", 100},
		"stmtMachineHistory": {own, their["machines"], "00000000-0000-0000-0000-000000000000", 100},

		"stmtMessagesDue":         {own, later, later},
		"stmtMessagesStuck":       {own},
		"stmtMessagesClaimSQLite": {later, at, own, own, later, later, 100},
		"stmtMessagesClaim":       {later, at, own, own, later, later, 100},

		"stmtHeads":             {own, "00000000-0000-0000-0000-000000000000", 100},
		"stmtAudit":             {own, order, 0, 100},
		"stmtAuditCounts":       {own, own, own, own, own},
		"stmtTreeLock":          {own},
		"stmtTreeBreaks":        {own},
		"stmtTreeSize":          {own},
		"stmtTreeNodes":         {own},
		"stmtPendingAdd":        {own, order, 1},
		"stmtPending":           {own, 100},
		"stmtPendingDrop":       {own, order, 1},
		"stmtLeafAdd":           {own, 0, order, 1},
		"stmtLeafFind":          {own, order, 1},
		"stmtLeaves":            {own, 0, 100},
		"stmtNodeAdd":           {own, 0, hash},
		"stmtNodes":             {own, []int64{0, 1, 2}},
		"stmtCheckpointAdd":     {own, 1, hash, hash, at},
		"stmtCheckpoints":       {own, 0, 100},
		"stmtCheckpointLast":    {own},
		"stmtEvidenceAdd":       {own, their["consents"], 1, hash, hash},
		"stmtEvidence":          {own, their["consents"], 1},
		"stmtReadAdd":           {own, their["personal_reads"], staff, at, "getCustomer", "customers", "[]", ""},
		"stmtReads":             {own, staff, at.AddDate(-9, 0, 0), later, "00000000-0000-0000-0000-000000000000", 100},
		"stmtSweepAnswers":      {own, own, later, 100},
		"stmtSweepTokens":       {own, own, later, later, later, 100},
		"stmtSweepSessions":     {own, own, later, later, later, 100},
		"stmtSweepLinks":        {own, own, later, later, 100},
		"stmtSweepReads":        {own, own, later, 100},
		"stmtSweepOutbox":       {own, own, later, 100},
		"stmtSweepAddresses":    {own, own, later, 100},
		"stmtBodiesForget":      {own, customer},
		"stmtOrderBodiesForget": {own, order},
		"stmtEvidenceForget":    {own, own, order},
		"stmtKeyForget":         {own, customer},
		"stmtArchiveForget":     {own, customer},
		"stmtArchiveAdd":        {own, customer, hash, at},
		"stmtArchive":           {own, customer},
		"stmtErasureAdd":        {own, customer, at, "[]"},
		"stmtErasuresOpen":      {own},
		"stmtPhotosGone":        {at, own, customer},
		"stmtUnscrubbed":        {own},
		"stmtScrubbed":          {at, own, later},
	}
}

// TestStatementsStayInTheirShop runs every statement with another shop's ids:
// none gives a value of that shop, none changes a row of it.
func TestStatementsStayInTheirShop(t *testing.T) {
	t.Parallel()
	eachBackend(t, func(t *testing.T, b *storetest.Backend) {
		written := writtenStatements(t)
		theirs := storetest.Populate(t, b, 2, 2)
		mine := storetest.NewShop(t, b, 1)
		cases := canaries(mine, theirs.IDs)
		before := storetest.Contents(t, b, theirs)
		for name, text := range written {
			if b.Postgres == (name == "stmtHeadLockSQLite") && strings.HasPrefix(name, "stmtHeadLock") {
				continue // the other database's way to lock
			}
			if name == "stmtShopList" {
				continue // lists every shop, for work beside requests; the table of slugs stands outside the wall
			}
			args, ok := cases[name]
			if !ok {
				t.Errorf("%s has no case here: fill it with another shop's ids", name)
				continue
			}
			t.Run(name, func(t *testing.T) { leaks(t, b, mine, text, args, theirs) })
		}
		for name, text := range written {
			if !strings.HasPrefix(text, "SELECT") {
				_ = b.Store.Write(t.Context(), mine, func(_ context.Context, tx app.Tx) error {
					_, err := store.RunStatement(tx, text, cases[name])
					return err
				})
			}
		}
		if diff := cmp.Diff(before, storetest.Contents(t, b, theirs)); diff != "" {
			t.Errorf("the other shop's rows changed (-before +after):\n%s", diff)
		}
	})
}

var errUndo = errors.New("undo")

func leaks(t *testing.T, b *storetest.Backend, mine shop.ShopID, text string, args []any, theirs *storetest.World) {
	var rows [][]any
	err := b.Store.Write(t.Context(), mine, func(_ context.Context, tx app.Tx) (err error) {
		if rows, err = store.RunStatement(tx, text, args); err != nil {
			return err
		}
		return errUndo // so that no statement reads what another one wrote
	})
	if !errors.Is(err, errUndo) {
		t.Logf("refused: %v", err)
		return
	}
	for _, row := range rows {
		said := fmt.Sprintf("%q", row)
		for table, id := range theirs.IDs {
			if strings.Contains(said, id) {
				t.Errorf("gives the other shop's row of %s: %s", table, said)
			}
		}
		if strings.Contains(said, "canary") || strings.Contains(said, string(theirs.Shop)) {
			t.Errorf("gives what is the other shop's: %s", said)
		}
	}
}

// TestCanariesAreSeen proves that the same questions, asked in the other
// shop itself, do give its rows: an empty answer above means something.
func TestCanariesAreSeen(t *testing.T) {
	t.Parallel()
	eachBackend(t, func(t *testing.T, b *storetest.Backend) {
		theirs := storetest.Populate(t, b, 2, 2)
		cases := canaries(theirs.Shop, theirs.IDs)
		written := writtenStatements(t)
		for _, name := range []string{"stmtEntries", "stmtKeyFind", "stmtRecall", "stmtSearch", "stmtHistory", "stmtMachineHistory",
			"stmtPending", "stmtLeafFind", "stmtLeaves", "stmtNodes", "stmtCheckpoints", "stmtCheckpointLast", "stmtEvidence", "stmtReads", "stmtArchive", "stmtErasuresOpen"} {
			err := b.Store.Read(t.Context(), theirs.Shop, func(tx app.Tx) error {
				rows, err := store.RunStatement(tx, written[name], cases[name])
				if len(rows) == 0 {
					t.Errorf("%s finds nothing in the shop whose ids it is given", name)
				}
				return err
			})
			if err != nil {
				t.Errorf("%s: %v", name, err)
			}
		}
	})
}
