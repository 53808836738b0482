"""Drawings: pedigrees in the published notation, chances as counts, a chance over time.

Pure values in, SVG and words out. `draw(pedigree)` is what a page needs; see `svg` for the notation and its sources.

All SVG carries `width`, `height` and `viewBox` and looks plain without any CSS: lines and marks in `currentColor`, grounds in the
system colour `Canvas`. A theme colours it by `color` and by these classes; it must leave sizes, places and font sizes alone.

Pedigrees: `pedigree` (the svg); `pedigree-animals` (the group of them: in it a link or a group for each, with its symbol and its
label, and `pedigree-focus`, `pedigree-nameless` where they apply); grounds, to be filled with the page's colour: `pedigree-ground`,
`pedigree-number-ground`, and `pedigree-inner` (the hollow of a double line: stroke); marks: `pedigree-shows` (fill) and
`pedigree-ink` (stroke: the dots of "carries", the stripes of "may carry"); strokes: `pedigree-dead`, `pedigree-arrow`,
`pedigree-lines` (the group) with `pedigree-mating`, `pedigree-descent`, `pedigree-twin`, `pedigree-doubt`, outlines and the lines
between parts having no class of their own; texts: `pedigree-number`, `pedigree-chance`, those of
labels without one. `pedigree-small`: the svg of one symbol, for a line of text.
`pedigree-follow` (the group of an animal) and in it `pedigree-kin` (its lines to its parents and young, hidden: visibility, fill, stroke).

Counts: `count` (the svg), `count-outline` (the group: stroke), `count-egg`, `count-counter` (one member) with `count-empty` (ground:
fill), `count-shows` (fill), `count-carries` or `count-part` (patterns, made of `count-empty` and `count-stripe`: stroke).
Steps: `chance` (the svg), `chance-line`, `chance-axis`, `chance-grid` (stroke), `chance-area`, and the groups
`chance-points` (fill) and `chance-texts`.
"""
