package main

import (
	"os"
	"path/filepath"

	"halfsplit/internal/cache"
	"halfsplit/prediction"
)

// mostKept is how many bytes of what circuits were found to do are kept.
const mostKept = 256 << 20

// kept is what earlier runs found circuits to do, in the user's folder for such
// things, or in the one that HALFSPLIT_CACHE names. It is nil when there is none:
// then everything is worked out anew.
func kept() prediction.Cache {
	folder := os.Getenv("HALFSPLIT_CACHE")
	if folder == "" {
		base, err := os.UserCacheDir()
		if err != nil {
			return nil
		}
		folder = filepath.Join(base, "halfsplit", "circuits")
	}
	c, err := cache.Open(folder, mostKept)
	if err != nil {
		return nil
	}
	return c
}
