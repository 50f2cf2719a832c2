package client

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"time"

	"github.com/BurntSushi/toml"
	"github.com/spf13/pflag"

	"dyelot/inventory/fault"
)

// defaultAddr is where a studio on this machine listens.
const defaultAddr = "127.0.0.1:7420"

// settings are what a flag, the environment or the configuration file decides,
// in this order. The file's keys are exactly these.
type settings struct {
	Addr     string `toml:"addr"`
	Token    string `toml:"token"`
	CA       string `toml:"ca"`
	TimeZone string `toml:"time_zone"`
}

// globals are the flags that every command takes.
type globals struct {
	settings
	JSON      bool
	RequestID string
	Timeout   time.Duration
	set       *pflag.FlagSet
}

func (g *globals) register(f *pflag.FlagSet) {
	g.set = f
	f.StringVar(&g.Addr, "addr", "", "where the service listens: host:port or unix:///path (DYELOT_ADDR; "+defaultAddr+")")
	f.StringVar(&g.Token, "token", "", "who you are to the service (better in DYELOT_TOKEN: others can see a command line)")
	f.StringVar(&g.CA, "ca", "", "certificate that signed the service's; turns TLS on (DYELOT_CA)")
	f.StringVar(&g.TimeZone, "time-zone", "", "zone for reading and showing times, such as Europe/Oslo (DYELOT_TIME_ZONE; the studio's)")
	f.BoolVar(&g.JSON, "json", false, "answer in JSON, for programs")
	f.StringVar(&g.RequestID, "request-id", "", "name this change, so that repeating it records it once (made up when empty)")
	for name, what := range map[string]string{"addr": "address", "token": "text", "ca": "file", "time-zone": "zone", "request-id": "text"} {
		call(f, name, what)
	}
	f.DurationVar(&g.Timeout, "timeout", 0, fmt.Sprintf("give up after this long (%s)", defaultTimeout))
}

// settings reads flags over environment over file, once.
func (s *session) settings() (settings, error) {
	if s.loaded != nil {
		return *s.loaded, nil
	}
	set, err := s.readFile()
	if err != nil {
		return settings{}, err
	}
	for _, one := range []struct {
		flag, env string
		told      string
		into      *string
	}{
		{"addr", "DYELOT_ADDR", s.flags.Addr, &set.Addr},
		{"token", "DYELOT_TOKEN", s.flags.Token, &set.Token},
		{"ca", "DYELOT_CA", s.flags.CA, &set.CA},
		{"time-zone", "DYELOT_TIME_ZONE", s.flags.TimeZone, &set.TimeZone},
	} {
		if v := s.Env(one.env); v != "" {
			*one.into = v
		}
		if s.flags.set != nil && s.flags.set.Changed(one.flag) {
			*one.into = one.told
		}
	}
	if set.Addr == "" {
		set.Addr = defaultAddr
	}
	set.Token = strings.TrimSpace(set.Token)
	if strings.IndexFunc(set.Token, func(r rune) bool { return r <= ' ' || r > '~' }) >= 0 {
		return settings{}, fault.BadField("token", "holds a space or a character that no token has")
	}
	s.loaded = &set
	return set, nil
}

// filePath follows the XDG base directory specification; a relative folder
// there is to be ignored.
func (s *session) filePath() string {
	if dir := s.Env("XDG_CONFIG_HOME"); filepath.IsAbs(dir) {
		return filepath.Join(dir, "dyelot", "config.toml")
	}
	if home := s.Env("HOME"); home != "" {
		return filepath.Join(home, ".config", "dyelot", "config.toml")
	}
	return ""
}

func (s *session) readFile() (settings, error) {
	var set settings
	path := s.filePath()
	if path == "" {
		return set, nil
	}
	text, err := os.ReadFile(path)
	if errors.Is(err, fs.ErrNotExist) {
		return set, nil
	}
	if err != nil {
		return set, fmt.Errorf("reading the configuration: %w", err)
	}
	meta, err := toml.Decode(string(text), &set)
	if err != nil {
		return set, fault.BadField(path, "%s", oneLine(err))
	}
	if odd := meta.Undecoded(); len(odd) > 0 {
		return set, fault.BadField(path, "%q is not a setting: use addr, token, ca or time_zone", odd[0].String())
	}
	if info, err := os.Stat(path); err == nil && set.Token != "" && info.Mode().Perm()&0o077 != 0 {
		s.say("dyelot: %s holds a token and others on this machine can read it: chmod 600 it", path)
	}
	return set, nil
}

func oneLine(err error) string { return strings.Join(strings.Fields(err.Error()), " ") }
