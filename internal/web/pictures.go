package web

// jobPicturePages are the screens of a job with pictures.
func (s *Server) jobPicturePages() []Page { return nil }
