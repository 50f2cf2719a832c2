package client

import (
	"context"
	"crypto/tls"
	"crypto/x509"
	"net"
	"os"
	"strconv"
	"strings"
	"time"

	"google.golang.org/grpc"
	"google.golang.org/grpc/backoff"
	"google.golang.org/grpc/credentials"
	"google.golang.org/grpc/credentials/insecure"

	"dyelot/inventory/fault"
)

// retryUnavailable repeats a call that did not reach the service, and only
// such a one. The message is the same to the last byte, request id included,
// so that a change whose answer was lost is recorded once. Five tries take
// about 3 s, which outlasts a restart of the service; the deadline still cuts
// them short.
const retryUnavailable = `{"methodConfig": [{
	"name": [{}],
	"retryPolicy": {
		"maxAttempts": 5,
		"initialBackoff": "0.2s",
		"maxBackoff": "2s",
		"backoffMultiplier": 2,
		"retryableStatusCodes": ["UNAVAILABLE"]
	}
}]}`

// maxAnswer bounds one answer: a list of 10 000 garments is about 3 MiB.
const maxAnswer = 64 << 20

// dial prepares the connection; nothing is sent before the first call.
func (s *session) dial() (*grpc.ClientConn, error) {
	if s.conn != nil {
		return s.conn, nil
	}
	set, err := s.settings()
	if err != nil {
		return nil, err
	}
	target, remote, err := targetOf(set.Addr)
	if err != nil {
		return nil, err
	}
	creds, err := credentialsOf(set.CA)
	if err != nil {
		return nil, err
	}
	if remote && set.CA == "" && set.Token != "" {
		s.say("dyelot: the token goes to %s in the clear: set DYELOT_CA to use TLS", set.Addr)
	}
	s.conn, err = grpc.NewClient(target,
		grpc.WithTransportCredentials(creds),
		grpc.WithPerRPCCredentials(bearer(set.Token)),
		grpc.WithDefaultServiceConfig(retryUnavailable),
		grpc.WithDefaultCallOptions(grpc.MaxCallRecvMsgSize(maxAnswer)),
		// The library waits a second before it dials again; our retries are closer.
		grpc.WithConnectParams(grpc.ConnectParams{
			Backoff:           backoff.Config{BaseDelay: 100 * time.Millisecond, Multiplier: 1.6, Jitter: 0.2, MaxDelay: time.Second},
			MinConnectTimeout: 5 * time.Second,
		}),
		grpc.WithNoProxy(),
		grpc.WithUserAgent("dyelot/"+Version()),
	)
	return s.conn, err
}

// targetOf turns an address into what gRPC dials, and says whether it leaves
// this machine.
func targetOf(addr string) (target string, remote bool, err error) {
	if strings.HasPrefix(addr, "unix:") {
		return addr, false, nil
	}
	host, port, err := net.SplitHostPort(addr)
	if _, bad := strconv.ParseUint(port, 10, 16); err != nil || bad != nil {
		return "", false, fault.BadField("addr", "%q is not host:port or unix:///path", addr)
	}
	ip := net.ParseIP(host)
	return "passthrough:///" + addr, host != "localhost" && !ip.IsLoopback(), nil
}

func credentialsOf(ca string) (credentials.TransportCredentials, error) {
	if ca == "" {
		return insecure.NewCredentials(), nil
	}
	pem, err := os.ReadFile(ca)
	if err != nil {
		return nil, fault.BadField("ca", "cannot be read: %v", err)
	}
	roots := x509.NewCertPool()
	if !roots.AppendCertsFromPEM(pem) {
		return nil, fault.BadField("ca", "%s holds no certificate in PEM", ca)
	}
	return credentials.NewTLS(&tls.Config{RootCAs: roots, MinVersion: tls.VersionTLS12}), nil
}

// bearer puts the token on every call. Without TLS it travels in the clear,
// which is fine inside one machine and warned about beyond it.
type bearer string

func (b bearer) GetRequestMetadata(context.Context, ...string) (map[string]string, error) {
	if b == "" {
		return nil, nil
	}
	return map[string]string{"authorization": "Bearer " + string(b)}, nil
}

func (bearer) RequireTransportSecurity() bool { return false }
