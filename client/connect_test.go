package client

import (
	"bytes"
	"crypto/ecdsa"
	"crypto/elliptic"
	"crypto/rand"
	"crypto/tls"
	"crypto/x509"
	"encoding/pem"
	"math/big"
	"net"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"

	"google.golang.org/grpc"
	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/credentials"
	"google.golang.org/grpc/status"
	"google.golang.org/protobuf/proto"

	dyelotv1 "dyelot/proto/dyelot/v1"
)

// tired refuses the first n calls with a code, then answers.
func tired(n int, code codes.Code) func(asked) (proto.Message, error) {
	return func(asked) (proto.Message, error) {
		if n--; n >= 0 {
			return nil, status.Error(code, "not now")
		}
		return nil, nil
	}
}

func TestUnavailableIsAskedAgainWithTheSameBytes(t *testing.T) {
	t.Parallel()
	service := open(t, tired(2, codes.Unavailable))
	got := at(service).run(t, "stock", "count", "P9", "337g")
	if got.code != 0 {
		t.Fatalf("exit code %d: %s", got.code, got.err)
	}
	calls := service.seen()
	if len(calls) != 3 {
		t.Fatalf("asked %d times, want 3", len(calls))
	}
	for _, again := range calls[1:] {
		if !bytes.Equal(again.body, calls[0].body) {
			t.Errorf("asked again with other bytes:\n%v\n%v", calls[0].request, again.request)
		}
	}
	if id := idOf(calls[0].request); !regexp.MustCompile(`^r-[a-z2-7]{26}$`).MatchString(id) {
		t.Errorf("request id %q: want r- and 128 bits in base 32", id)
	}
}

// Only UNAVAILABLE says that nothing was done. ABORTED and the rest are told.
func TestNothingElseIsAskedAgain(t *testing.T) {
	t.Parallel()
	for _, code := range []codes.Code{codes.Aborted, codes.Internal, codes.ResourceExhausted, codes.Unknown, codes.DeadlineExceeded, codes.FailedPrecondition} {
		t.Run(code.String(), func(t *testing.T) {
			t.Parallel()
			service := open(t, tired(1, code))
			got := at(service).run(t, "stock", "count", "P9", "337g")
			if n := len(service.seen()); n != 1 || got.code == 0 {
				t.Errorf("asked %d times, exit code %d: want once, and a failure", n, got.code)
			}
		})
	}
}

func TestTwoChangesHaveTwoRequestIDs(t *testing.T) {
	t.Parallel()
	service := open(t, nil)
	for range 2 {
		at(service).run(t, "stock", "count", "P9", "337g")
	}
	calls := service.seen()
	if idOf(calls[0].request) == idOf(calls[1].request) {
		t.Errorf("both carry %s", idOf(calls[0].request))
	}
	at(service).run(t, "stock", "count", "P9", "337g", "--request-id", "r-mine-1234")
	if got := idOf(service.seen()[2].request); got != "r-mine-1234" {
		t.Errorf("request id %q, want the one given", got)
	}
}

// A service that starts while the client is asking: restarts take up to 3 s.
func TestAServiceThatIsStartingIsWaitedFor(t *testing.T) {
	t.Parallel()
	path := filepath.Join(t.TempDir(), "s")
	listening := make(chan net.Listener, 1)
	time.AfterFunc(700*time.Millisecond, func() {
		lis, err := net.Listen("unix", path)
		if err != nil {
			t.Error(err)
		}
		listening <- lis
	})
	got := make(chan heard, 1)
	go func() { got <- bench{}.run(t, "stock", "list", "--addr", "unix://"+path, "--time-zone", "UTC") }()
	openOn(t, <-listening, nil)
	if got := <-got; got.code != 0 {
		t.Errorf("exit code %d: %s", got.code, got.err)
	}
}

func TestEveryCallHasADeadline(t *testing.T) {
	t.Parallel()
	service := open(t, shelf)
	b := at(service)
	b.run(t, "stock", "list")
	b.run(t, "backup", filepath.Join(t.TempDir(), "copy"))
	for _, call := range service.seen() {
		left := time.Until(call.deadline)
		most := defaultTimeout
		if call.method == "StudioService/Backup" {
			most = backupTimeout
		}
		if call.deadline.IsZero() || left > most || left < most-30*time.Second {
			t.Errorf("%s: deadline in %s, want about %s", call.method, left, most)
		}
	}
}

func TestALateAnswerSaysHowToAskAgain(t *testing.T) {
	t.Parallel()
	service := open(t, func(asked) (proto.Message, error) {
		time.Sleep(300 * time.Millisecond)
		return nil, nil
	})
	got := at(service).run(t, "stock", "count", "P9", "337g", "--timeout", "50ms")
	if got.code != 5 || !strings.Contains(got.err, "run it again with --request-id r-") {
		t.Errorf("exit code %d: %s", got.code, got.err)
	}
	got = at(service).run(t, "stock", "list", "--timeout", "50ms")
	if got.code != 5 || strings.Contains(got.err, "request-id") {
		t.Errorf("a call that changes nothing: exit code %d: %s", got.code, got.err)
	}
}

func TestTheTokenTravelsAsABearer(t *testing.T) {
	t.Parallel()
	service := open(t, nil)
	at(service).run(t, "stock", "list")
	at(service).run(t, "stock", "list", "--token", "")
	calls := service.seen()
	if got := calls[0].metadata.Get("authorization"); len(got) != 1 || got[0] != "Bearer dt-test" {
		t.Errorf("authorization %q", got)
	}
	if got := calls[1].metadata.Get("authorization"); len(got) != 0 {
		t.Errorf("no token, but authorization %q", got)
	}
}

func TestUnixSockets(t *testing.T) {
	t.Parallel()
	path := filepath.Join(t.TempDir(), "s")
	lis, err := net.Listen("unix", path)
	if err != nil {
		t.Fatal(err)
	}
	openOn(t, lis, nil)
	got := bench{}.run(t, "stock", "list", "--addr", "unix://"+path, "--time-zone", "UTC")
	if got.code != 0 {
		t.Errorf("exit code %d: %s", got.code, got.err)
	}
}

func TestTLS(t *testing.T) {
	t.Parallel()
	cert, file := certificate(t)
	service := open(t, nil, grpc.Creds(credentials.NewServerTLSFromCert(&cert)))
	if got := at(service).run(t, "stock", "list", "--ca", file); got.code != 0 {
		t.Errorf("with its certificate: exit code %d: %s", got.code, got.err)
	}
	_, other := certificate(t)
	if got := at(service).with("DYELOT_CA", other).run(t, "stock", "list"); got.code != 5 || !strings.Contains(got.err, "certificate") {
		t.Errorf("with another's: exit code %d: %s", got.code, got.err)
	}
	for _, bad := range []string{filepath.Join(t.TempDir(), "none.pem"), empty(t)} {
		if got := at(service).run(t, "stock", "list", "--ca", bad); got.code != 2 || !strings.HasPrefix(got.err, "dyelot: --ca: ") {
			t.Errorf("%s: exit code %d: %s", bad, got.code, got.err)
		}
	}
}

func empty(t *testing.T) string {
	t.Helper()
	file := filepath.Join(t.TempDir(), "empty.pem")
	if err := os.WriteFile(file, nil, 0o600); err != nil {
		t.Fatal(err)
	}
	return file
}

// certificate makes one for 127.0.0.1 that signs itself.
func certificate(t *testing.T) (tls.Certificate, string) {
	t.Helper()
	key, err := ecdsa.GenerateKey(elliptic.P256(), rand.Reader)
	if err != nil {
		t.Fatal(err)
	}
	plan := &x509.Certificate{
		SerialNumber: big.NewInt(1), NotBefore: time.Now().Add(-time.Hour), NotAfter: time.Now().Add(time.Hour),
		IPAddresses: []net.IP{net.IPv4(127, 0, 0, 1)}, IsCA: true, BasicConstraintsValid: true, KeyUsage: x509.KeyUsageCertSign | x509.KeyUsageDigitalSignature,
	}
	der, err := x509.CreateCertificate(rand.Reader, plan, plan, &key.PublicKey, key)
	if err != nil {
		t.Fatal(err)
	}
	file := filepath.Join(t.TempDir(), "ca.pem")
	if err := os.WriteFile(file, pem.EncodeToMemory(&pem.Block{Type: "CERTIFICATE", Bytes: der}), 0o600); err != nil {
		t.Fatal(err)
	}
	return tls.Certificate{Certificate: [][]byte{der}, PrivateKey: key}, file
}

func TestAddresses(t *testing.T) {
	t.Parallel()
	for addr, want := range map[string]struct {
		target string
		remote bool
	}{
		"127.0.0.1:7420":             {"passthrough:///127.0.0.1:7420", false},
		"[::1]:7420":                 {"passthrough:///[::1]:7420", false},
		"localhost:7420":             {"passthrough:///localhost:7420", false},
		"boathouse.example:7420":     {"passthrough:///boathouse.example:7420", true},
		"192.0.2.7:7420":             {"passthrough:///192.0.2.7:7420", true},
		"unix:///run/dyelot/sock":    {"unix:///run/dyelot/sock", false},
		"127.0.0.1":                  {},
		"127.0.0.1:":                 {},
		"http://boathouse.example/x": {},
	} {
		target, remote, err := targetOf(addr)
		if target != want.target || remote != want.remote || (err == nil) != (want.target != "") {
			t.Errorf("%s: %q, remote %t, %v; want %+v", addr, target, remote, err, want)
		}
	}
}

// A token that leaves this machine in the clear is said.
func TestATokenInTheClearIsWarnedOf(t *testing.T) {
	t.Parallel()
	var errs bytes.Buffer
	env := map[string]string{"DYELOT_ADDR": "192.0.2.7:7420", "DYELOT_TOKEN": "dt-test"}
	s := &session{App: App{Err: &errs, Env: func(name string) string { return env[name] }, Now: time.Now}}
	defer s.hangUp()
	if _, err := s.dial(); err != nil || !strings.Contains(errs.String(), "in the clear") {
		t.Errorf("%v, %q", err, errs.String())
	}
}

func TestCompletionAsksTheServiceAndIsSilentWithoutIt(t *testing.T) {
	t.Parallel()
	service := open(t, func(a asked) (proto.Message, error) {
		if a.method != "StockService/ListParcels" {
			return nil, status.Error(codes.Internal, a.method)
		}
		return &dyelotv1.ListParcelsResponse{Parcels: []*dyelotv1.Parcel{{Code: "P7", ItemName: "alum"}, {Code: "P12", ItemName: "weld"}}}, nil
	})
	got := at(service).run(t, "__complete", "stock", "show", "p1")
	if !strings.HasPrefix(got.out, "P12\tweld\n:4\n") {
		t.Errorf("completes %q, want P12 alone", got.out)
	}
	began := time.Now()
	got = at(service).run(t, "__complete", "lot", "show", "")
	if !strings.HasPrefix(got.out, ":4\n") || got.code != 0 {
		t.Errorf("a service that fails: %q, exit code %d", got.out, got.code)
	}
	got = bench{env: map[string]string{"DYELOT_ADDR": "127.0.0.1:1"}}.run(t, "__complete", "lot", "show", "")
	if !strings.HasPrefix(got.out, ":4\n") || got.code != 0 || time.Since(began) > 5*time.Second {
		t.Errorf("no service: %q, exit code %d after %s", got.out, got.code, time.Since(began))
	}
}
