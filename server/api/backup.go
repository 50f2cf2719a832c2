package api

import (
	"bufio"
	"context"
	"io"

	"google.golang.org/grpc"

	dyelotv1 "dyelot/proto/dyelot/v1"

	"dyelot/inventory/fault"
)

// Backup writes a consistent copy of the database while the studio works. An
// error means that what was written is no backup.
type Backup func(ctx context.Context, to io.Writer) error

// chunkSize keeps a chunk far below any message limit.
const chunkSize = 64 << 10

// Backup streams a copy to the caller. Its last chunks carry the checksum that
// a restore asks for, so a stream that broke off is not taken for a backup.
func (s *StudioServer) Backup(_ *dyelotv1.BackupRequest, stream grpc.ServerStreamingServer[dyelotv1.BackupResponse]) error {
	if s.backup == nil {
		return fault.Refuse("NO_BACKUP", "this service has no pg_dump at hand: install PostgreSQL's client programs beside it")
	}
	w := bufio.NewWriterSize(chunks{stream}, chunkSize)
	if err := s.backup(stream.Context(), w); err != nil {
		return err
	}
	return w.Flush()
}

type chunks struct {
	stream grpc.ServerStreamingServer[dyelotv1.BackupResponse]
}

func (c chunks) Write(b []byte) (int, error) {
	return len(b), c.stream.Send(&dyelotv1.BackupResponse{Chunk: b})
}
