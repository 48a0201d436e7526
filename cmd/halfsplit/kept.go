package main

import "halfsplit/prediction"

// kept is what earlier runs found circuits to do.
func kept() prediction.Cache { return nil }
