package web

import (
	"context"
	"errors"
	"io"
	"mime/multipart"
	"net/http"
	"os"
	"strings"

	"setdown/report/casebook"
	"setdown/signal/recording"
)

// caseExport sends a case as an archive; it is made whole first.
func (s *Server) caseExport(w http.ResponseWriter, r *http.Request) error {
	c, err := s.findCase(r)
	if err != nil {
		return err
	}
	name, err := s.tempName()
	if err != nil {
		return err
	}
	f, err := s.cfg.Folder.OpenFile(name, os.O_RDWR|os.O_CREATE|os.O_EXCL, 0o600)
	if err != nil {
		return err
	}
	defer s.cfg.Folder.Remove(name)
	defer f.Close()
	if err := s.cfg.Book.Export(r.Context(), c.ID, f, s.cfg.Now()); err != nil {
		return err
	}
	if _, err := f.Seek(0, io.SeekStart); err != nil {
		return err
	}
	w.Header().Set("Content-Type", "application/zip")
	w.Header().Set("Content-Disposition", `attachment; filename="case.zip"`)
	_, err = io.Copy(w, f)
	return ignoreGone(err)
}

func (s *Server) tempName() (string, error) {
	t, err := s.token()
	return incoming + "/" + t, err
}

// caseImport reads a case back from the archive in a form.
func (s *Server) caseImport(w http.ResponseWriter, r *http.Request) error {
	r.Body = http.MaxBytesReader(w, r.Body, s.limits.UploadBytes)
	parts, err := r.MultipartReader()
	if err != nil {
		return err
	}
	archive, as, err := importForm(parts)
	if err != nil {
		return err
	}
	c, err := s.importPart(r.Context(), archive, as)
	if err != nil {
		return err
	}
	return s.next(w, r, "/cases/"+c.ID+"?done=import")
}

// importForm reads a form up to the archive in it, and the name that stands before.
func importForm(parts *multipart.Reader) (archive *multipart.Part, as string, err error) {
	for {
		p, err := parts.NextPart()
		if err != nil {
			return nil, "", bad("no archive was chosen")
		}
		if p.FormName() == "as" {
			text, err := io.ReadAll(io.LimitReader(p, longestText))
			if err != nil {
				return nil, "", formError(err)
			}
			as = strings.TrimSpace(strings.ToValidUTF8(string(text), ""))
		}
		if p.FileName() != "" {
			return p, as, nil
		}
	}
}

// importPart puts an archive that is being sent into the casebook. It is kept in a file
// for as long: an archive is read from its end.
func (s *Server) importPart(ctx context.Context, archive *multipart.Part, as string) (casebook.Case, error) {
	name, err := s.tempName()
	if err != nil {
		return casebook.Case{}, err
	}
	defer s.cfg.Folder.Remove(name)
	n, err := s.writeNew(name, archive)
	if err != nil {
		return casebook.Case{}, uploadError(err, s.limits)
	}
	f, err := s.cfg.Folder.Open(name)
	if err != nil {
		return casebook.Case{}, err
	}
	defer f.Close()
	c, err := s.cfg.Book.Import(ctx, f, n, as, s.cfg.Now())
	if err != nil {
		return casebook.Case{}, importFault(err)
	}
	return c, nil
}

// importFault adds to what is wrong with an archive what to do.
func importFault(err error) error {
	fault := formFault(err)
	if statusOf(fault) != http.StatusBadRequest {
		return fault
	}
	hint := "Choose the archive as the case's page gave it for download; if it is that, download it again."
	if errors.Is(err, casebook.ErrNameTaken) {
		hint = "To keep a second copy, fill in “Keep it under another name” beside it."
	}
	return &recording.Error{Msg: err.Error(), Hint: hint, Err: fault}
}
