package main

import (
	"context"
	"fmt"
	"slices"
	"strings"

	"github.com/alecthomas/kong"

	"halfsplit/internal/plain"
	"halfsplit/internal/record"
)

// completionCommands help a shell to complete what is typed.
type completionCommands struct {
	Script completionScriptCommand `cmd:"" help:"Print what makes a shell complete halfsplit's commands; see --help."`
	Words  completionWordsCommand  `cmd:"" hidden:"" help:"Print what the word that is being typed may become."`
}

type completionScriptCommand struct {
	Shell string `arg:"" enum:"bash,zsh,fish" help:"One of: bash, zsh, fish."`
}

// Help says how to use the script.
func (completionScriptCommand) Help() string {
	return "bash: put  source <(halfsplit completion script bash)  into ~/.bashrc\n\nzsh: put  source <(halfsplit completion script zsh)  into ~/.zshrc, after compinit\n\nfish: halfsplit completion script fish > ~/.config/fish/completions/halfsplit.fish"
}

// scripts ask the program for words, and let the shell complete files when there
// are none.
var scripts = map[string]string{
	"bash": `_halfsplit() {
	local IFS=$'\n'
	COMPREPLY=($(compgen -W "$(halfsplit completion words -- "${COMP_WORDS[@]:1:COMP_CWORD}" 2>/dev/null)" -- "${COMP_WORDS[COMP_CWORD]}"))
}
complete -o default -F _halfsplit halfsplit
`,
	"zsh": `_halfsplit() {
	local -a found
	found=("${(@f)$(halfsplit completion words -- "${(@)words[2,CURRENT]}" 2>/dev/null)}")
	if [[ -n "$found" ]]; then compadd -a found; else _files; fi
}
compdef _halfsplit halfsplit
`,
	"fish": `complete -c halfsplit -a '(halfsplit completion words -- (commandline -opc)[2..-1] (commandline -ct) 2>/dev/null)'
`,
}

// Run prints the script.
func (c *completionScriptCommand) Run(to console) error {
	_, err := fmt.Fprint(to.out, scripts[c.Shell])
	return err
}

type completionWordsCommand struct {
	recordsFolder
	Typed []string `arg:"" optional:"" passthrough:"" help:"The words after halfsplit, the one being typed last."`
}

// Run prints the words.
func (c *completionWordsCommand) Run(ctx context.Context, k *kong.Kong, to console) error {
	typed := c.Typed
	if len(typed) > 0 && typed[0] == "--" {
		typed = typed[1:]
	}
	if len(typed) == 0 {
		typed = []string{""}
	}
	p := plain.To(to.out)
	for _, w := range c.words(ctx, k.Model.Node, typed) {
		if strings.HasPrefix(w, typed[len(typed)-1]) {
			p.Line("%s", w)
		}
	}
	return p.Err()
}

// words lists what may stand as the last of the typed words.
func (c *completionWordsCommand) words(ctx context.Context, node *kong.Node, typed []string) []string {
	last := typed[len(typed)-1]
	position := 0
	var expects *kong.Value // the flag whose value comes next
	for _, w := range typed[:len(typed)-1] {
		switch {
		case expects != nil:
			expects = nil
		case strings.HasPrefix(w, "-") && len(w) > 1:
			for _, f := range flagsOf(node) {
				if w == "--"+f.Name && !f.IsBool() {
					expects = f.Value
				}
			}
		default:
			at := slices.IndexFunc(node.Children, func(n *kong.Node) bool { return n.Name == w })
			if at < 0 {
				position++
				break
			}
			node, position = node.Children[at], 0
		}
	}
	switch {
	case expects != nil:
		return expects.EnumSlice()
	case strings.HasPrefix(last, "-"):
		var list []string
		for _, f := range flagsOf(node) {
			if !f.Hidden {
				list = append(list, "--"+f.Name)
			}
		}
		return list
	case len(node.Children) > 0:
		var list []string
		for _, n := range node.Children {
			if !n.Hidden {
				list = append(list, n.Name)
			}
		}
		return list
	case position < len(node.Positional):
		return c.argument(ctx, node, node.Positional[position])
	}
	return nil
}

// flagsOf lists the flags of a command and those above it.
func flagsOf(node *kong.Node) []*kong.Flag {
	var list []*kong.Flag
	for _, group := range node.AllFlags(false) {
		list = append(list, group...)
	}
	return list
}

// argument lists what may stand as an argument: its words, or what the records
// hold of its kind.
func (c *completionWordsCommand) argument(ctx context.Context, node *kong.Node, a *kong.Value) []string {
	if words := a.EnumSlice(); len(words) > 0 && words[0] != "" {
		return words
	}
	var list []string
	err := c.with(ctx, func(w *workshop) error {
		if a.Name == "unit" || a.Name == "code" || a.Name == "what" {
			units, err := w.Units(ctx, record.UnitFilter{Page: record.Page{Limit: 500}})
			if err != nil {
				return err
			}
			for _, u := range units.Items {
				list = append(list, u.Code)
			}
		}
		if a.Name == "job" || a.Name == "what" {
			open := true
			jobs, err := w.Jobs(ctx, record.JobFilter{Open: &open, Page: record.Page{Limit: 500}})
			if err != nil {
				return err
			}
			for _, j := range jobs.Items {
				list = append(list, fmt.Sprint(j.ID))
			}
		}
		return nil
	})
	if err != nil {
		return nil // a shell that completes is no place for an error
	}
	return list
}
