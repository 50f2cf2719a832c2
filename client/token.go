package client

import (
	"context"
	"crypto/sha256"
	"encoding/json"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"dyelot/client/paper"
	"dyelot/inventory/fault"
	dyelotv1 "dyelot/proto/dyelot/v1"
)

func (s *session) tokenCommand() *cobra.Command {
	return s.noun("token", "Who may do what", "", s.tokenAdd(), s.tokenList(), s.tokenRevoke())
}

// tokenBytes of chance make a token that nobody guesses.
const tokenBytes = 32

// made is a new token as the command prints it: once, and never again.
type made struct {
	Token  json.RawMessage `json:"token"`
	Secret string          `json:"secret,omitempty"`
	File   string          `json:"file,omitempty"`
}

func (s *session) tokenAdd() *cobra.Command {
	return s.command(verb{
		use:   "add TOKEN",
		short: "Make a token for a person or a device, shown once",
		long: `Make a token for a person or a device, and show it once. It is made here, and only
its SHA-256 goes to the service: nobody can read it back out of the books.

Roles: owner (everything), dyer (recipes, runs, stock, the pot), bench (records at
the pot and the shelf), laboratory (readings and tests), shop (sends out and takes
back), viewer (reads).`,
		example: "dyelot token add bench-1 --role bench\ndyelot token add \"tablet by the sink\" --role bench,viewer --expires 2027-01-01 --out tablet.token",
		build: func(f *form) func(context.Context, []string) error {
			q := &dyelotv1.CreateTokenRequest{}
			var roles []string
			var out string
			f.fills("TOKEN", "name")
			f.texts(&roles, "role", "roles", "what it may do; with commas between, or repeated")
			f.fills("role", "roles")
			f.offers("role", fixed(roleNames()...))
			f.when(&q.ExpiresAt, "expires", "when it stops working (never)")
			f.fills("expires", "expires_at")
			f.text(&out, "out", "write the token to this file, for its owner only, instead of showing it")
			return func(ctx context.Context, args []string) (err error) {
				q.Name = args[0]
				if q.Roles, err = rolesOf(roles); err != nil {
					return err
				}
				secret := "dt-" + randomWord(tokenBytes)
				if out != "" {
					if err := writePrivate(out, []byte(secret+"\n")); err != nil {
						return err
					}
				}
				sum := sha256.Sum256([]byte(secret))
				q.TokenSha256 = sum[:]
				resp, err := s.studios().CreateToken(ctx, q)
				if err != nil {
					return err
				}
				return s.showToken(ctx, resp.GetToken(), secret, out)
			}
		},
	})
}

func (s *session) showToken(ctx context.Context, t *dyelotv1.Token, secret, file string) error {
	text, err := asJSON.Marshal(t)
	if err != nil {
		return err
	}
	m := made{Token: text, Secret: secret, File: file}
	if file != "" {
		m.Secret = ""
	}
	return s.showValue(ctx, m, func(p *paper.Sheet) { p.TokenMade(t, m.Secret, file) })
}

func (s *session) tokenList() *cobra.Command {
	return s.command(verb{
		use:     "list",
		short:   "List the tokens, without what they are",
		example: "dyelot token list",
		build: func(*form) func(context.Context, []string) error {
			return func(ctx context.Context, _ []string) error {
				return answer(ctx, s, s.studios().ListTokens, &dyelotv1.ListTokensRequest{}, (*paper.Sheet).Tokens)
			}
		},
	})
}

func (s *session) tokenRevoke() *cobra.Command {
	return s.command(verb{
		use:     "revoke TOKEN",
		short:   "Stop a token from working, at once and for good",
		example: `dyelot token revoke "tablet by the sink"`,
		build: func(f *form) func(context.Context, []string) error {
			f.fills("TOKEN", "name")
			return func(ctx context.Context, args []string) error {
				q := &dyelotv1.RevokeTokenRequest{Name: args[0]}
				return answer(ctx, s, s.studios().RevokeToken, q, (*paper.Sheet).TokenRevoked)
			}
		},
	})
}

// roleNames are the contract's roles as people write them, in its order.
func roleNames() []string {
	var names []string
	for n := range len(dyelotv1.Role_name) {
		if r := dyelotv1.Role(n); r != dyelotv1.Role_ROLE_UNSPECIFIED {
			names = append(names, paper.RoleName(r))
		}
	}
	return names
}

func rolesOf(names []string) ([]dyelotv1.Role, error) {
	known := roleNames()
	var roles []dyelotv1.Role
	for _, name := range names {
		i := slices.Index(known, strings.ToLower(name))
		if i < 0 {
			return nil, fault.BadField("--role", "%q is no role: use one of %s", name, strings.Join(known, ", "))
		}
		roles = append(roles, dyelotv1.Role(i+1))
	}
	if len(roles) == 0 {
		return nil, fault.New(fault.Invalid, "FLAG_MISSING", "--role is needed: one of %s", strings.Join(known, ", "))
	}
	return roles, nil
}
