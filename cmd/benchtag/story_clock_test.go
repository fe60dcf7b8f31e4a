package main

import (
	"io"
	"net/http"
	"net/http/cookiejar"
	"path/filepath"
	"testing"
	"time"

	"benchtag/internal/app"
	"benchtag/internal/store"
	"benchtag/internal/store/storetest"
	"benchtag/internal/testkit"
)

// TestOnePersonShopLater tells the half of the one-person shop that needs
// half an hour: her own second look counts once her eyes are fresh, only with
// a fresh sign-in, and the customer must be told. The server runs inside the
// test, on a clock that can be moved.
func TestOnePersonShopLater(t *testing.T) {
	t.Parallel()
	t.Run("sqlite", func(t *testing.T) { t.Parallel(); tellLater(t, store.Options{Folder: storetest.Folder(t)}) })
	t.Run("postgres", func(t *testing.T) {
		t.Parallel()
		tellLater(t, store.Options{PostgresURL: storetest.Address(t)})
	})
}

func tellLater(t *testing.T, opt store.Options) {
	clock := testkit.NewClock(time.Date(2026, 3, 2, 9, 0, 0, 0, time.UTC))
	opt.Now = clock.Now
	s, err := store.Open(opt)
	if err != nil {
		t.Fatal(err)
	}
	defer func() { _ = s.Close() }()
	if err := s.Migrate(t.Context()); err != nil {
		t.Fatal(err)
	}
	b, err := build(s, listening{PublicURL: "http://shop.test", InsecureHTTP: true, LogFormat: "text"}, filepath.Join(t.TempDir(), "keys"), clock.Now, io.Discard)
	if err != nil {
		t.Fatal(err)
	}
	_, _, err = b.app.CreateShop(t.Context(), app.NewShop{Name: "Solo Works", Slug: "solo", Currency: "EUR", TimeZone: "Europe/Vienna",
		OwnerName: "Owner", Login: "owner", Password: ownerPassword})
	if err != nil {
		t.Fatal(err)
	}
	jar, err := cookiejar.New(nil)
	if err != nil {
		t.Fatal(err)
	}
	w := &world{story: newStory("http://shop.test", &http.Client{Transport: inProcess{b.server}, Jar: jar}, clock.Now)}
	more := map[string]func([]string) error{
		"visit": w.visit, "gates": w.wantGates, "want": w.want, "has": w.has,
		"wait": func(args []string) error {
			d, err := time.ParseDuration(args[0])
			clock.Advance(d)
			return err
		},
	}
	w.vars["PASSWORD"] = ownerPassword
	if err := w.tell(onePersonLater, more); err != nil {
		t.Fatal(err)
	}
}

// onePersonLater is invented like every story; wait moves the clock.
const onePersonLater = `
signin owner solo owner '${PASSWORD}'
get /v1/me
let ME staff_id
change /v1/staff/${ME} '{"login":"owner","name":"Owner","roles":["owner","advisor","technician"],"rides":true}'
status 200
signin owner solo owner '${PASSWORD}'
change /v1/shop '{"name":"Solo Works","tax_mode":"exclusive","rounding":"half_up","time_zone":"Europe/Vienna","one_person":true}'
status 200
get /v1/tax-categories
let TAXCODE items.0.code
post /v1/gauges '{"name":"Wrench 1","kind":"torque wrench","calibrated_on":"${today-30}","calibration_due_on":"${today+300}"}'
status 201
let WRENCH id
visit
post /v1/work-orders/${ORDER}/jobs '{"title":"Front wheel bearing","kind":"request"}'
status 201
let JOB id
uuid WISH LINE AXLE TEST
put /v1/jobs/${JOB}/complaints/${WISH} '{"kind":"request","words":"The front wheel growls."}'
status 201
put /v1/jobs/${JOB}/lines/${LINE} '{"kind":"labour","description":"Front wheel bearings","minutes":60,"unit_price":{"amount":"80.00","currency":"EUR"},"tax_category":"${TAXCODE}","complaint_id":"${WISH}"}'
status 201
post /v1/jobs/${JOB}/consents '{"kind":"drop_off","decision":"agreed","method":"in_person","typed_name":"Mara Ostrander","relation":"owner","identified_how":"known to the shop","contact_used":"at the counter","limit_amount":{"amount":"120.00","currency":"EUR"}}'
status 201
move ${JOB} ask_customer
move ${JOB} start_repair
put /v1/jobs/${JOB}/fastenings/${AXLE} '{"component":"front wheel","joint":"axle","safety_class":"critical","target":{"entered":"65 Nm"},"joint_condition":"dry","new_fastener":"no","source":"example figure, not for service"}'
status 201
post /v1/jobs/${JOB}/fastenings/${AXLE}/done '{"applied":{"entered":"65 Nm"},"wrench_id":"${WRENCH}"}'
status 200
post /v1/jobs/${JOB}/lines/${LINE}/done
status 200

# A minute too early.
wait 29m
signin owner solo owner '${PASSWORD}'
post /v1/jobs/${JOB}/fastenings/${AXLE}/check '{"check_target":{"entered":"65 Nm"},"check_setting":{"entered":"65 Nm"},"watched":false,"marked":true,"self_reinspection":true}'
gates fastenings.too_soon

# Late enough, but under a sign-in of some minutes ago.
wait 3m
post /v1/jobs/${JOB}/fastenings/${AXLE}/check '{"check_target":{"entered":"65 Nm"},"check_setting":{"entered":"65 Nm"},"watched":false,"marked":true,"self_reinspection":true}'
gates fastenings.not_signed_on
signin owner solo owner '${PASSWORD}'
# Not saying that it is her own work makes it no better.
post /v1/jobs/${JOB}/fastenings/${AXLE}/check '{"check_target":{"entered":"65 Nm"},"check_setting":{"entered":"65 Nm"},"watched":true,"marked":true}'
gates fastenings.checker_is_doer
post /v1/jobs/${JOB}/fastenings/${AXLE}/check '{"check_target":{"entered":"65 Nm"},"check_setting":{"entered":"65 Nm"},"watched":false,"marked":true,"self_reinspection":true}'
status 200
want self_reinspection true
want checked_by ${ME}

wait 1m
put /v1/jobs/${JOB}/road-tests/${TEST} '{"kind":"ride","brakes":"ok","wheels":"ok","steering":"ok","throttle":"ok","chain":"ok","leaks":"ok","lights":"ok","checked_at":"${now}","rider_id":"${ME}","odometer_out":{"entered":"18250 km"}}'
status 201
move ${JOB} to_road_test
change /v1/jobs/${JOB}/road-tests/${TEST} '{"kind":"ride","brakes":"ok","wheels":"ok","steering":"ok","throttle":"ok","chain":"ok","leaks":"ok","lights":"ok","checked_at":"${now}","rider_id":"${ME}","odometer_out":{"entered":"18250 km"},"odometer_back":{"entered":"18256 km"},"outcome":"ok"}'
status 200
move ${JOB} to_release
post /v1/work-orders/${ORDER}/bills '{"job_ids":["${JOB}"]}'
status 201
let BILL id
post /v1/work-orders/${ORDER}/payments '{"bill_id":"${BILL}","kind":"payment","method":"cash","amount":{"amount":"80.00","currency":"EUR"}}'
status 201

# The customer is told that nobody else looked.
put /v1/jobs/${JOB}/hand-over '{"handed_to":"Mara Ostrander","transport":"ridden","old_parts":"returned","advice_given":true,"cautions_told":true}'
status 201
post /v1/jobs/${JOB}/moves '{"move":"close"}'
gates closed.self_check_not_told
change /v1/jobs/${JOB}/hand-over '{"handed_to":"Mara Ostrander","transport":"ridden","old_parts":"returned","advice_given":true,"cautions_told":true,"self_reinspection_told":true}'
status 200
move ${JOB} close
want stage closed
`
