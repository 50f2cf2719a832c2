package client

import (
	"bytes"
	"errors"
	"net"
	"strings"
	"sync"
	"testing"
	"time"

	"google.golang.org/grpc"
	"google.golang.org/grpc/metadata"
	"google.golang.org/protobuf/proto"
	"google.golang.org/protobuf/reflect/protoreflect"
	"google.golang.org/protobuf/reflect/protoregistry"
	"google.golang.org/protobuf/types/known/emptypb"

	// The contract's messages, found by their names below.
	_ "dyelot/proto/dyelot/v1"
)

// asked is one call that reached the counter.
type asked struct {
	method   string // "StockService/CountParcel"
	request  proto.Message
	body     []byte
	metadata metadata.MD
	deadline time.Time
}

// counter is a service of every method of the contract: it keeps what it was
// asked and answers what the test says, or an empty message.
type counter struct {
	addr   string
	answer func(asked) (proto.Message, error)

	mu    sync.Mutex
	calls []asked
}

// open starts a counter on a free port of this machine; network is "tcp" or
// "unix", and address what to listen on.
func open(t *testing.T, answer func(asked) (proto.Message, error), opts ...grpc.ServerOption) *counter {
	t.Helper()
	lis, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	return openOn(t, lis, answer, opts...)
}

func openOn(t *testing.T, lis net.Listener, answer func(asked) (proto.Message, error), opts ...grpc.ServerOption) *counter {
	t.Helper()
	c := &counter{addr: lis.Addr().String(), answer: answer}
	server := grpc.NewServer(append(opts, grpc.UnknownServiceHandler(c.handle))...)
	served := make(chan error, 1)
	go func() { served <- server.Serve(lis) }()
	t.Cleanup(func() {
		server.Stop()
		if err := <-served; err != nil && !errors.Is(err, grpc.ErrServerStopped) {
			t.Errorf("serving: %v", err)
		}
	})
	return c
}

// handle answers any method: an unknown message keeps its bytes, and those are
// read by the contract's own descriptor.
func (c *counter) handle(_ any, stream grpc.ServerStream) error {
	name, _ := grpc.MethodFromServerStream(stream)
	var raw emptypb.Empty
	if err := stream.RecvMsg(&raw); err != nil {
		return err
	}
	a := asked{method: strings.TrimPrefix(name, "/dyelot.v1."), body: raw.ProtoReflect().GetUnknown()}
	a.metadata, _ = metadata.FromIncomingContext(stream.Context())
	a.deadline, _ = stream.Context().Deadline()
	input := methodOf(a.method).Input().FullName()
	kind, err := protoregistry.GlobalTypes.FindMessageByName(input)
	if err != nil {
		return err
	}
	a.request = kind.New().Interface()
	if err := proto.Unmarshal(a.body, a.request); err != nil {
		return err
	}
	c.mu.Lock()
	c.calls = append(c.calls, a)
	c.mu.Unlock()
	var reply proto.Message = &emptypb.Empty{}
	if c.answer != nil {
		switch said, err := c.answer(a); {
		case err != nil:
			return err
		case said != nil:
			reply = said
		}
	}
	return stream.SendMsg(reply)
}

func (c *counter) seen() []asked {
	c.mu.Lock()
	defer c.mu.Unlock()
	return append([]asked(nil), c.calls...)
}

func methodOf(name string) protoreflect.MethodDescriptor {
	service, method, _ := strings.Cut(name, "/")
	d, err := protoregistry.GlobalFiles.FindDescriptorByName(protoreflect.FullName("dyelot.v1." + service))
	if err != nil {
		panic(err)
	}
	return d.(protoreflect.ServiceDescriptor).Methods().ByName(protoreflect.Name(method))
}

// noon is when these tests happen: 14 May 2026, noon in Oslo.
var noon = time.Date(2026, 5, 14, 10, 0, 0, 0, time.UTC)

// said is what one run of the program left behind.
type heard struct {
	out, err string
	code     int
}

// bench is where commands are typed: its environment, and what is piped in.
type bench struct {
	env   map[string]string
	stdin string
}

// at is a bench whose service is the counter.
func at(c *counter) bench {
	return bench{env: map[string]string{"DYELOT_ADDR": c.addr, "DYELOT_TOKEN": "dt-test", "DYELOT_TIME_ZONE": "Europe/Oslo"}}
}

// with is the bench with one more variable set.
func (b bench) with(name, value string) bench {
	env := map[string]string{name: value}
	for k, v := range b.env {
		if k != name {
			env[k] = v
		}
	}
	b.env = env
	return b
}

func (b bench) run(t *testing.T, args ...string) heard {
	t.Helper()
	var out, errs bytes.Buffer
	code := Main(t.Context(), args, App{
		In: strings.NewReader(b.stdin), Out: &out, Err: &errs,
		Env: func(name string) string { return b.env[name] },
		Now: func() time.Time { return noon },
	})
	return heard{out.String(), errs.String(), code}
}
