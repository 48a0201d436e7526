package look

// Place is an entry of the navigation.
type Place struct {
	Name string // as it is written
	Path string // where it leads
	Icon string // name of its drawing, see Icon
	More bool   // behind "More" on a phone
}

// Places are the entries of the navigation, in order.
func Places() []Place {
	return []Place{
		{"Today", "/", "today", false},
		{"Collection", "/collection", "collection", false},
		{"Parts drawer", "/drawer", "drawer", true},
		{"Upkeep", "/upkeep", "upkeep", true},
		{"Meters", "/meters", "meters", true},
		{"Tools", "/tools", "tools", false},
		{"Search", "/search", "search", false},
		{"Library", "/library", "library", true},
		{"Guide", "/guide", "guide", true},
		{"Settings", "/settings", "settings", true},
	}
}

// Page is what stands around a screen.
type Page struct {
	Title   string
	Place   string   // path of the entry of Places that is current, empty for none
	Back    Link     // to where the screen hangs, left out when empty
	Said    string   // a message from what was done last
	Bare    bool     // without the navigation, as before a device is paired
	Wide    bool     // as wide as the window, for drawings and tables
	At      int64    // number of the last change that it shows, see package web, Hub
	Scripts []string // further scripts, by their names among the assets
	Go      string   // a path to which the page leads on by itself
}

// Link is a link with its words.
type Link struct {
	Text, Path string
}

// current gives the value of aria-current.
func current(is bool, word string) string {
	if is {
		return word
	}
	return "false"
}
