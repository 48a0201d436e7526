package web

// jobPicturePages are the screens of a job with pictures: photos of boards,
// circuits, memory arrays.
func (s *Server) jobPicturePages() []Page {
	return []Page{
		{"GET /jobs/{job}/photos", s.photosScreen, ""},
		{"POST /jobs/{job}/photos", s.takePhotos, ""},
		{"GET /jobs/{job}/photos/{photo}", s.photoScreen, ""},
		{"POST /jobs/{job}/photos/{photo}", s.changePhoto, ""},
		{"GET /jobs/{job}/photos/{photo}/picture", s.photoFile, ""},
		{"GET /jobs/{job}/circuit", s.circuitScreen, ""},
		{"GET /circuits.css", s.circuitStyle, ""},
		{"GET /jobs/{job}/memory", s.memoryScreen, ""},
	}
}
