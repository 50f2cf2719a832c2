package main

import "github.com/spf13/cobra"

func tokenCommand() *cobra.Command {
	var c config
	owner := &cobra.Command{
		Use:   "owner",
		Short: "Make the owner a new token; the old one ends",
		Long: `Makes the owner a new token, for whoever owns the machine and has lost the old
one. Stop the service first: a private database belongs to one process.`,
		Example: "  dyelotd token owner --state-dir /srv/studio",
		Args:    cobra.NoArgs,
		RunE: func(cmd *cobra.Command, _ []string) error {
			if err := c.check(); err != nil {
				return err
			}
			log, err := newLog(c.LogLevel)
			if err != nil {
				return err
			}
			st, err := openStudio(cmd.Context(), c, log)
			if err != nil {
				return err
			}
			err = st.ownerToken(cmd.Context(), c, true, cmd.OutOrStdout())
			if closing := st.close(); err == nil {
				err = closing
			}
			return err
		},
	}
	c.where(owner.Flags())
	cmd := &cobra.Command{Use: "token", Short: "Tokens that the machine's owner may make"}
	cmd.AddCommand(owner)
	return cmd
}
