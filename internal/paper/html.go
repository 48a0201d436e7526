package paper

import (
	"encoding/base64"
	"html/template"
	"io"
)

// HTML writes the document as one page that holds everything, its pictures too.
func (d *Document) HTML(to io.Writer) error { return page.Execute(to, d) }

var page = template.Must(template.New("page").Funcs(template.FuncMap{
	"kind": func(b Block) string {
		switch b.(type) {
		case Heading:
			return "heading"
		case Text:
			return "text"
		case Caution:
			return "caution"
		case Facts:
			return "facts"
		case Table:
			return "table"
		case Figure:
			return "figure"
		}
		return "photo"
	},
	"svg": func(f Figure) template.HTML { return template.HTML(f.Drawing.SVG(f.Caption)) }, // SVG escapes its texts
	"source": func(p Photo) template.URL {
		return template.URL("data:" + p.Media + ";base64," + base64.StdEncoding.EncodeToString(p.Data))
	},
	"share": func(v float64) float64 { return 100 * v },
}).Parse(`<!doctype html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<title>{{.Title}}</title>
<style>
:root { color-scheme: light; }
body { font: 16px/1.5 system-ui, sans-serif; color: #141414; background: #fff; max-width: 46rem; margin: 2rem auto; padding: 0 1rem; }
h1 { font-size: 1.7rem; line-height: 1.2; margin: 0; }
h2 { font-size: 1.2rem; margin: 2rem 0 .5rem; break-after: avoid; }
.subtitle { font-size: 1.1rem; margin: .2rem 0 1.5rem; }
dl { display: grid; grid-template-columns: minmax(7rem, 11rem) 1fr; gap: .2rem 1rem; margin: 0; }
dt { color: #555; } dd { margin: 0; overflow-wrap: anywhere; }
.wide { overflow-x: auto; } .wide:focus-visible { outline: 3px solid #9e3e0c; }
table { border-collapse: collapse; width: 100%; min-width: 34rem; font-size: .92rem; font-variant-numeric: tabular-nums; }
caption { caption-side: bottom; text-align: left; color: #555; padding-top: .3rem; }
th, td { text-align: left; vertical-align: top; padding: .3rem .6rem .3rem 0; border-bottom: 1px solid #bbb; }
tr, figure, .caution { break-inside: avoid; }
thead { display: table-header-group; }
figure { margin: 1rem 0; } figure svg, figure img { max-width: 100%; height: auto; display: block; }
figcaption { color: #555; font-size: .92rem; }
.caution { border: 2px solid #9e3e0c; padding: .6rem 1rem; margin: 1rem 0; }
.caution strong { color: #9e3e0c; }
.photo { position: relative; display: inline-block; max-width: 100%; }
.spot { position: absolute; width: 1.1rem; height: 1.1rem; margin: -.6rem; border: 3px solid #9e3e0c; border-radius: 50%; outline: 2px solid #fff; }
.spot span { position: absolute; left: 1.4rem; top: -.2rem; background: #fff; color: #7d2f07; font-weight: bold; font-size: .85rem; padding: 0 .3rem; white-space: nowrap; }
footer { color: #555; font-size: .9rem; margin-top: 3rem; border-top: 1px solid #bbb; }
@page { size: A4; margin: 18mm; }
@media print { body { margin: 0; max-width: none; font-size: 11pt; } }
</style>
</head>
<body>
<main>
<h1>{{.Title}}</h1>
{{with .Subtitle}}<p class="subtitle">{{.}}</p>{{end}}
{{range .Blocks}}{{$kind := kind .}}
{{- if eq $kind "heading"}}<h2>{{.}}</h2>
{{else if eq $kind "text"}}<p>{{.}}</p>
{{else if eq $kind "caution"}}<p class="caution"><strong>Caution.</strong> {{.}}</p>
{{else if eq $kind "facts"}}<dl>{{range .}}<dt>{{.Name}}</dt><dd>{{.Value}}</dd>{{end}}</dl>
{{else if eq $kind "table"}}<div class="wide" tabindex="0" role="region" aria-label="table"><table>{{with .Caption}}<caption>{{.}}</caption>{{end}}<thead><tr>{{range .Header}}<th scope="col">{{.}}</th>{{end}}</tr></thead><tbody>
{{range .Rows}}<tr>{{range .}}<td>{{.}}</td>{{end}}</tr>
{{end}}</tbody></table></div>
{{else if eq $kind "figure"}}<figure>{{svg .}}<figcaption>{{.Caption}}</figcaption></figure>
{{else}}<figure><div class="photo"><img src="{{source .}}" width="{{.Width}}" height="{{.Height}}" alt="{{.Caption}}">{{range .Spots}}<span class="spot" style="left:{{share .X}}%;top:{{share .Y}}%"><span>{{.Name}}</span></span>{{end}}</div><figcaption>{{.Caption}}</figcaption></figure>
{{end}}{{end}}
</main>
<footer><p>{{with .Workshop}}{{.}} · {{end}}{{.Made.Format "2006-01-02"}} · made with halfsplit</p></footer>
</body>
</html>
`))
