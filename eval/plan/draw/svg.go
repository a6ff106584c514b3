package draw

import (
	"fmt"
	"math"
	"strconv"
	"strings"
)

// Sizes of a sheet of A4 in points, with room on the left for a binding.
const (
	pageWidth, pageHeight = 595.0, 842.0
	left, right           = 60.0, 558.0
	top, bottom           = 48.0, 800.0
	body, small, tiny     = 10.0, 8.5, 7.0 // sizes of type
	leading               = 12.5
	gap                   = 8.0 // from a line to the words beside it
)

// SVG draws the tree on sheets of A4 in black on white, one document for each sheet. Each test is a row; its outcomes branch off below it, with the
// minutes since the start along the branch. The deeper the tree, the narrower its steps to the right.
func SVG(s *Step, o Options) []string {
	d := &drawing{indent: 34}
	if deep := depth(s); float64(deep)*d.indent > 270 {
		d.indent = math.Max(10, 270/float64(deep))
	}
	d.newPage()
	y := top
	for _, line := range fit(clean(o.Title), 15, right-left) {
		if line != "" {
			y += 18
			d.text(left, y, 15, "font-weight=\"bold\"", line)
		}
	}
	for _, paragraph := range []string{clean(o.Summary), legend} {
		for _, line := range fit(paragraph, small, right-left) {
			if line != "" {
				y += 12
				d.text(left, y, small, "", line)
			}
		}
	}
	d.y = y + 16
	d.step(s, left+4, nil)
	return d.sheets(clean(o.Title))
}

// drawing collects the marks of each page.
type drawing struct {
	indent float64
	pages  []*strings.Builder
	tops   []float64 // of each page, where lines from the page before come in
	y      float64   // where the next row begins
}

// A place on a page.
type place struct {
	page int
	y    float64
}

func (d *drawing) newPage() {
	d.pages = append(d.pages, &strings.Builder{})
	d.tops = append(d.tops, top)
	d.y = top
}

func (d *drawing) page() *strings.Builder { return d.pages[len(d.pages)-1] }

// room begins a new page unless a row of this height has room. path says how one comes to that row.
func (d *drawing) room(height float64, path []string) {
	if d.y+height <= bottom || d.y <= top {
		return
	}
	d.newPage()
	// As many of the last outcomes as go on three lines, at least one.
	var lines []string
	for i := len(path) - 1; i >= 0; i-- {
		lead := "Continued, after: "
		if i > 0 {
			lead += "...; "
		}
		longer := fit(lead+strings.Join(path[i:], "; ")+".", small, right-left)
		if lines != nil && len(longer) > 3 {
			break
		}
		lines = longer
	}
	for _, line := range lines {
		d.y += 11
		d.text(left, d.y, small, "", line)
	}
	d.y += 14
	d.tops[len(d.tops)-1] = d.y - 8
}

// step draws a test or an end whose line comes down at x, and returns the height of its dot.
func (d *drawing) step(s *Step, x float64, path []string) {
	if len(s.Branches) == 0 {
		d.end(s, x, d.y+leading)
		return
	}
	dot := d.test(s, x)
	last := dot
	widest := 0.0
	for i := range s.Branches {
		if len(s.Branches[i].Step.Branches) == 0 {
			widest = math.Max(widest, math.Min(width(s.Branches[i].word(), body), 130))
		}
	}
	for i := range s.Branches {
		last = d.branch(s, &s.Branches[i], x, widest, path)
	}
	d.rail(x, dot, last)
}

// test draws the row of a test: cautions, then the title beside a dot.
func (d *drawing) test(s *Step, x float64) place {
	at := x + gap
	begin := d.y
	for _, c := range s.Cautions {
		for i, line := range fit("Caution: "+clean(c), small, right-at-13) {
			d.y += 11
			if i == 0 {
				d.warning(at, d.y)
			}
			d.text(at+13, d.y, small, "font-weight=\"bold\"", line)
		}
	}
	if d.y > begin {
		d.y += 2
	}
	dot := place{len(d.pages) - 1, 0}
	lines := fit(clean(s.Title), body, right-at)
	for i, line := range lines {
		d.y += leading
		if i == 0 {
			dot.y = d.y - 3.5
			fmt.Fprintf(d.page(), "<circle cx=\"%s\" cy=\"%s\" r=\"3\" fill=\"white\"/>\n", number(x), number(dot.y))
		}
		d.text(at, d.y, body, "font-weight=\"bold\"", line)
	}
	effort := s.effort()
	if end := at + width(lines[len(lines)-1], body) + gap; end+width(effort, small) <= right {
		d.text(end, d.y, small, "", effort)
	} else {
		for _, line := range fit(effort, small, right-at) {
			d.y += 11
			d.text(at, d.y, small, "", line)
		}
	}
	d.y += 4
	if x > left+4 {
		d.line(x, begin, x, dot.y-3) // the line that comes down past the cautions
	}
	return dot
}

// branch draws one outcome and what follows it, and returns where it leaves the rail.
func (d *drawing) branch(s *Step, b *Branch, x, widest float64, path []string) place {
	path = append(path[:len(path):len(path)], clean(s.Title)+": "+b.word())
	to := x + d.indent
	labelAt := to + gap
	if len(b.Step.Branches) > 0 {
		labels := fit(b.word(), body, right-labelAt)
		d.room(d.height(b.Step, to)+float64(len(labels))*leading+24, path)
		y := d.y + leading - 3.5
		leave := place{len(d.pages) - 1, y}
		d.twig(b, x, to, y)
		for _, line := range labels {
			d.y += leading
			d.text(labelAt, d.y, body, "font-style=\"italic\"", line)
		}
		d.y += 4
		d.line(to, y, to, d.y)
		d.step(b.Step, to, path)
		d.y += 3
		return leave
	}
	labels := fit(b.word(), body, math.Min(widest+1, right-labelAt-60))
	endAt := labelAt + math.Min(widest, right-labelAt-60) + 14
	lines := d.endLines(b.Step, endAt)
	height := math.Max(float64(len(labels)), float64(len(lines)))*leading + 8
	d.room(height, path)
	y := d.y + leading - 3.5
	leave := place{len(d.pages) - 1, y}
	d.twig(b, x, to, y)
	for i, line := range labels {
		d.text(labelAt, d.y+float64(i+1)*leading, body, "font-style=\"italic\"", line)
	}
	if from := labelAt + width(labels[0], body) + 4; from < endAt-5 {
		d.line(from, y, endAt-4, y)
	}
	d.end(b.Step, endAt, d.y+leading)
	d.y += height
	return leave
}

// twig draws the line of a branch with the minutes over it and the share under it.
func (d *drawing) twig(b *Branch, x, to, y float64) {
	d.line(x, y, to, y)
	middle := (x + to) / 2
	over, under := minutes(b.Elapsed), share(b.Probability)
	if d.indent < 30 {
		over = strings.TrimSuffix(over, " min")
	}
	under = strings.ReplaceAll(under, "under ", "<")
	under = strings.ReplaceAll(under, "over ", ">")
	d.text(middle, y-2, tiny, "text-anchor=\"middle\"", over)
	d.text(middle, y+7.5, tiny, "text-anchor=\"middle\"", under)
}

// height is about what the row of a test takes, for page breaks.
func (d *drawing) height(s *Step, x float64) float64 {
	at := x + gap
	sum := float64(len(fit(clean(s.Title), body, right-at)))*leading + 15
	for _, c := range s.Cautions {
		sum += 11 * float64(len(fit("Caution: "+clean(c), small, right-at-13)))
	}
	return sum
}

// rail draws the line from the dot of a test down to its last branch, over pages.
func (d *drawing) rail(x float64, from, to place) {
	for page := from.page; page <= to.page; page++ {
		y1, y2 := d.tops[page], bottom+6
		if page == from.page {
			y1 = from.y + 3
		}
		if page == to.page {
			y2 = to.y
		}
		if y2 > y1 {
			fmt.Fprintf(d.pages[page], "<path d=\"M%s %sL%s %s\"/>\n", number(x), number(y1), number(x), number(y2))
		}
	}
}

func (d *drawing) endLines(s *Step, x float64) []string {
	words := s.end()
	if doubt := s.doubt(); doubt != "" {
		words += " (" + doubt + ")"
	}
	return fit(words, body, right-x-10)
}

// end writes a remedy beside a filled square, an end that was cut beside an empty one.
func (d *drawing) end(s *Step, x, y float64) {
	fill := "black"
	if s.Cut {
		fill = "white"
	}
	fmt.Fprintf(d.page(), "<rect x=\"%s\" y=\"%s\" width=\"5\" height=\"5\" fill=\"%s\"/>\n", number(x-2), number(y-6), fill)
	for i, line := range d.endLines(s, x) {
		style := "font-weight=\"bold\""
		if s.Cut {
			style = ""
		}
		d.text(x+gap, y+float64(i)*leading, body, style, line)
	}
}

// warning draws the sign for a caution.
func (d *drawing) warning(x, y float64) {
	fmt.Fprintf(d.page(), "<path d=\"M%s %sl4.6 -8l4.6 8z\" fill=\"none\"/>\n", number(x), number(y+0.4))
	d.line(x+4.6, y-5, x+4.6, y-2.3)
	d.line(x+4.6, y-1.5, x+4.6, y-0.6)
}

func (d *drawing) line(x1, y1, x2, y2 float64) {
	fmt.Fprintf(d.page(), "<path d=\"M%s %sL%s %s\"/>\n", number(x1), number(y1), number(x2), number(y2))
}

func (d *drawing) text(x, y, size float64, style, words string) {
	if style != "" {
		style = " " + style
	}
	fmt.Fprintf(d.page(), "<text x=\"%s\" y=\"%s\" font-size=\"%s\"%s>%s</text>\n", number(x), number(y), number(size), style, escape(words))
}

// sheets closes the pages into documents.
func (d *drawing) sheets(title string) []string {
	list := make([]string, len(d.pages))
	for i, p := range d.pages {
		foot := title
		if len(d.pages) > 1 {
			foot = strings.TrimSpace(fmt.Sprintf("%s  sheet %d of %d", title, i+1, len(d.pages)))
		}
		list[i] = fmt.Sprintf(`<svg xmlns="http://www.w3.org/2000/svg" width="210mm" height="297mm" viewBox="0 0 %v %v">
<title>%s</title>
<rect width="%v" height="%v" fill="white"/>
<g fill="none" stroke="black" stroke-width="0.8">
<g fill="black" stroke="none" font-family="Liberation Sans, Helvetica, sans-serif">
`, pageWidth, pageHeight, escape(foot), pageWidth, pageHeight)
		var marks, words strings.Builder
		for _, line := range strings.SplitAfter(p.String(), "\n") {
			if strings.HasPrefix(line, "<text") {
				words.WriteString(line)
			} else {
				marks.WriteString(line)
			}
		}
		if len(d.pages) > 1 {
			fmt.Fprintf(&words, "<text x=\"%v\" y=\"%v\" font-size=\"%v\" text-anchor=\"end\">%s</text>\n", right, pageHeight-24, small, escape(foot))
		}
		list[i] += words.String() + "</g>\n" + marks.String() + "</g>\n</svg>\n"
	}
	return list
}

func depth(s *Step) int {
	most := 0
	for i := range s.Branches {
		most = max(most, 1+depth(s.Branches[i].Step))
	}
	return most
}

// fit cuts a text into lines of a width; words longer than a line are cut too.
func fit(s string, size, room float64) []string {
	room = math.Max(room, 6*size)
	var words []string
	for _, word := range strings.Fields(s) {
		for width(word, size) > room {
			cut := 1
			runes := []rune(word)
			for cut < len(runes)-1 && width(string(runes[:cut+1]), size) <= room {
				cut++
			}
			words = append(words, string(runes[:cut]))
			word = string(runes[cut:])
		}
		words = append(words, word)
	}
	return wrap(strings.Join(words, " "), func(part string, _ bool) bool { return width(part, size) <= room })
}

// width is about how wide a text runs in a sans-serif face, points. It is on the wide side, so that the type at hand need not be known.
func width(s string, size float64) float64 {
	sum := 0.0
	for _, r := range s {
		switch {
		case strings.ContainsRune("ijl.,:;'|!()[]/ ft", r):
			sum += 0.31
		case strings.ContainsRune("mwMW%—", r):
			sum += 0.89
		case r >= 'A' && r <= 'Z':
			sum += 0.70
		case r > 0x2e80:
			sum += 1
		default:
			sum += 0.57
		}
	}
	return sum * size
}

// number prints a coordinate to a tenth of a point.
func number(v float64) string {
	return strings.TrimSuffix(strconv.FormatFloat(v, 'f', 1, 64), ".0")
}

func escape(s string) string {
	return strings.NewReplacer("&", "&amp;", "<", "&lt;", ">", "&gt;", "\"", "&quot;").Replace(s)
}
