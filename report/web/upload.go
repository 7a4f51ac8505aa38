package web

import (
	"errors"
	"io"
	"mime/multipart"
	"net/http"
	"os"

	"setdown/signal/recording"
)

// upload takes files in. They are streamed to the disk; when anything is wrong
// with one of them nothing is kept.
func (s *Server) upload(w http.ResponseWriter, r *http.Request) error {
	r.Body = http.MaxBytesReader(w, r.Body, s.limits.UploadBytes)
	parts, err := r.MultipartReader()
	if err != nil {
		return err
	}
	id, err := s.token()
	if err != nil {
		return err
	}
	in := &intake{id: id, made: s.cfg.Now(), root: s.cfg.Folder, phase: phaseReading}
	if err := s.receive(in, parts); err != nil {
		return errors.Join(uploadError(err, s.limits), s.cfg.Folder.RemoveAll(in.dir()))
	}
	if err := s.intakes.add(in); err != nil {
		return errors.Join(err, s.cfg.Folder.RemoveAll(in.dir()))
	}
	in.mu.Lock()
	s.readLater(in)
	in.mu.Unlock()
	return s.next(w, r, "/upload/"+id)
}

// next leads on: a script gets the address, a browser is sent there.
func (s *Server) next(w http.ResponseWriter, r *http.Request, to string) error {
	if r.Header.Get("Accept") == "application/json" {
		return writeJSON(w, http.StatusOK, map[string]string{"next": to})
	}
	http.Redirect(w, r, to, http.StatusSeeOther)
	return nil
}

// uploadError words the errors that only an upload has.
func uploadError(err error, l Limits) error {
	var large *http.MaxBytesError
	switch {
	case errors.As(err, &large):
		return bad("the files hold more than %d MB together; nothing was kept: send fewer at once", l.UploadBytes>>20)
	case errors.Is(err, io.ErrUnexpectedEOF), errors.Is(err, os.ErrDeadlineExceeded):
		return bad("the upload broke off before its end; nothing was kept: send the files again")
	}
	return err
}

// receive writes the parts of a form to the disk.
func (s *Server) receive(in *intake, parts *multipart.Reader) error {
	if err := s.cfg.Folder.Mkdir(in.dir(), 0o700); err != nil {
		return err
	}
	for {
		p, err := parts.NextPart()
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			return formError(err)
		}
		if err := s.receiveOne(in, p); err != nil {
			return err
		}
	}
	if len(in.files) == 0 {
		return bad("no file was chosen: choose the exported file of each foot")
	}
	return nil
}

// formError tells a broken form from a broken disk.
func formError(err error) error {
	var large *http.MaxBytesError
	if errors.As(err, &large) || errors.Is(err, io.ErrUnexpectedEOF) || errors.Is(err, os.ErrDeadlineExceeded) {
		return err
	}
	return bad("the form could not be read (%v); nothing was kept", err)
}

func (s *Server) receiveOne(in *intake, p *multipart.Part) error {
	defer p.Close()
	if p.FormName() == "case" {
		text, err := io.ReadAll(io.LimitReader(p, 200))
		in.caseID = string(text)
		return err
	}
	if p.FileName() == "" {
		_, err := io.Copy(io.Discard, p)
		return err
	}
	if len(in.files) >= s.limits.Files {
		return bad("more than %d files at once; nothing was kept: send fewer", s.limits.Files)
	}
	f := file{Name: plainName(p.FileName())}
	for _, other := range in.files {
		if other.Name == f.Name {
			return bad("%s was given twice, or two files have this name; nothing was kept. Choose the file of each foot once; where both have the same name, rename one of them first", f.Name)
		}
	}
	n, err := s.writeNew(in.path(len(in.files)), io.LimitReader(p, s.limits.FileBytes+1))
	if err != nil {
		return err
	}
	switch {
	case n > s.limits.FileBytes:
		return &recording.Error{File: f.Name, Msg: "is too large", Hint: "cut it into parts"}
	case n == 0:
		return &recording.Error{File: f.Name, Msg: "is empty", Hint: "export it again"}
	}
	f.Bytes = n
	in.files = append(in.files, f)
	return nil
}

// writeNew writes a file that must not exist.
func (s *Server) writeNew(name string, r io.Reader) (n int64, err error) {
	f, err := s.cfg.Folder.OpenFile(name, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o600)
	if err != nil {
		return 0, err
	}
	defer func() { err = errors.Join(err, f.Close()) }()
	n, err = io.Copy(f, r)
	if err != nil {
		err = formError(err)
	}
	return n, err
}
