"""The style of a handout: phone first, light and dark, and on paper.

Every pair of a text and its ground has a contrast of 4.5 or more (tests/tui/test_handout.py). Colours of
kinds are those of the map; a sign or a word always says the same.
"""

from typing import Final

STYLE: Final = """
:root { color-scheme: light dark; --ground: #fdfbf7; --ink: #221d17; --quiet: #5c5345; --line: #c9bfae;
  --card: #f6f1e7; --link: #00558a; --symptom: #0072b2; --sign: #3f8fc0; --cause: #b97f00; --remedy: #00805d;
  --warn: #e69f00; --on-warn: #000000; }
* { box-sizing: border-box; }
html { -webkit-text-size-adjust: 100%; scroll-padding: 1rem 0 4rem; }
body { margin: 0; background: var(--ground); color: var(--ink); overflow-wrap: anywhere;
  font: 1.0625rem/1.55 system-ui, "Segoe UI", Roboto, "DejaVu Sans", "Noto Sans", sans-serif; }
a { color: var(--link); }
:focus-visible { outline: 3px solid var(--link); outline-offset: 2px; }
.skip { position: absolute; left: -100rem; padding: .6rem 1rem; background: var(--ground); }
.skip:focus { left: .5rem; top: .5rem; z-index: 2; }
nav ul { list-style: none; margin: 0; padding: .75rem 1rem; display: flex; flex-wrap: wrap; gap: .25rem .5rem;
  border-bottom: 1px solid var(--line); }
nav a { display: inline-block; padding: .4rem .5rem; }
nav .up { position: fixed; right: .5rem; bottom: .5rem; z-index: 1; padding: .5rem 1rem;
  background: var(--card); border: 1px solid var(--line); border-radius: .35rem; }
main { padding: 0 1rem 5rem; max-width: 48rem; }
h1 { font-size: 1.6rem; line-height: 1.2; margin: 1.25rem 0 .5rem; }
h2 { font-size: 1.3rem; margin: 2.5rem 0 .75rem; padding-top: .5rem; border-top: 2px solid var(--line); }
h3 { font-size: 1.08rem; margin: 1.75rem 0 .5rem; }
p { margin: .5rem 0; }
.quiet, dt { color: var(--quiet); }
.lead { font-size: 1.1em; }
details, .card { border: 1px solid var(--line); border-left-width: .35rem; border-radius: .35rem;
  margin: .5rem 0; background: var(--card); }
summary { padding: .65rem .8rem; cursor: pointer; min-height: 2.75rem; }
summary .mark { font-weight: bold; margin-right: .15rem; }
.inside { padding: 0 .8rem .8rem; scroll-margin-top: 5rem; }
.card { padding: .65rem .8rem; }
.symptom { border-left-color: var(--symptom); } .sign { border-left-color: var(--sign); }
.cause { border-left-color: var(--cause); } .remedy, .rest { border-left-color: var(--remedy); }
.rest { border-left-style: dashed; }
.caution { background: var(--warn); color: var(--on-warn); padding: .5rem .7rem; border-radius: .3rem; }
.number { color: var(--quiet); font-weight: bold; }
.hazard { color: var(--on-warn); background: var(--warn); border-radius: .2rem; padding: .05rem .4rem;
  font-size: .85em; white-space: nowrap; }
.helps li, .helps a { padding: .6rem 0; } /* a thumb wants 2.75rem */
.harm { list-style: "✗ "; margin: .6rem 0; }
.do { font-weight: 600; }
.way { font-weight: 600; margin-top: 1rem; }
dl { margin: .5rem 0; } dt { font-size: .9em; margin-top: .45rem; } dd { margin: 0; }
ul, ol { padding-left: 1.25rem; } li { margin: .2rem 0; }
figure { margin: .75rem 0; } figcaption { font-size: .9em; color: var(--quiet); }
svg { display: block; max-width: 100%; height: auto; }
.wide { overflow-x: auto; border: 1px solid var(--line); border-radius: .35rem; padding: .5rem; }
.wide svg { min-width: 42rem; max-width: none; width: 100%; }
.zones { display: grid; grid-template-columns: repeat(auto-fill, minmax(8rem, 1fr)); gap: 1rem; padding: 0;
  list-style: none; }
.zones svg { height: 9rem; width: auto; }
.drawn { display: flex; flex-wrap: wrap; gap: 1rem; } li:has(> .beside) { list-style: none; }
.beside { display: flex; gap: .9rem; align-items: flex-start; }
.beside > svg { flex: none; height: 8.5rem; width: auto; } .beside > div { min-width: 0; flex: 1; }
table { border-collapse: collapse; width: 100%; }
th, td { text-align: left; vertical-align: top; padding: .35rem .5rem .35rem 0;
  border-bottom: 1px solid var(--line); }
footer { margin-top: 3rem; border-top: 2px solid var(--line); color: var(--quiet); font-size: .95em; }
@media (min-width: 64rem) {
  .frame { display: grid; grid-template-columns: 15rem minmax(0, 1fr); }
  nav .up { display: none; }
  nav ul { position: sticky; top: 0; flex-direction: column; border: 0; padding: 1.5rem 1rem; }
  main { padding: 0 2rem 4rem; max-width: 56rem; }
}
@media screen and (prefers-color-scheme: dark) {
  :root { --ground: #171411; --ink: #efe8dc; --quiet: #b9af9e; --line: #4a4238; --card: #211c17;
    --link: #8fcdf2; --symptom: #56b4e9; --sign: #9bd3f4; --cause: #e69f00; --remedy: #2fc79b; }
  svg .ink { fill: #efe8dc; } svg .quiet { fill: #b9af9e; } svg .sign { fill: #efe8dc; }
  svg .line { stroke: #b9af9e; } svg .head { fill: #b9af9e; }
  svg .provokes .line, svg .line.provokes { stroke: #f0813a; } svg .provokes .quiet { fill: #f0a06a; }
  svg .symptom .box, svg .box.symptom { fill: #15293a; stroke: #56b4e9; }
  svg .sign .box, svg .box.sign { fill: #182b36; stroke: #9bd3f4; }
  svg .cause .box, svg .box.cause { fill: #33270d; stroke: #e69f00; }
  svg .remedy .box, svg .box.remedy { fill: #0d3027; stroke: #2fc79b; }
  svg .rest .box, svg .box.rest { fill: #11241f; stroke: #2fc79b; }
  svg .cane { fill: #3b2f1b; stroke: #d2b27a; } svg .bark { fill: #2a2214; stroke: #d2b27a; }
  svg .wire { stroke: #c9c2b6; } svg .lit { fill: #8a4312; stroke: #f0813a; }
  svg .gap { fill: #000000; stroke: #d2b27a; } svg .target, svg .band { stroke: #2fc79b; }
  svg .band { fill: #12362c; } svg path.reading { stroke: #8fcdf2; } svg text.reading { fill: #8fcdf2; }
  svg .dot { fill: #8fcdf2; } svg text.oncane { fill: #efe8dc; }
}
@media print {
  @page { size: A4; margin: 13mm 14mm 15mm; @bottom-center { content: counter(page); font-size: 8pt; } }
  body { font-size: 8.5pt; line-height: 1.35; background: #ffffff; color: #000000; orphans: 3; widows: 3; }
  h1 { font-size: 17pt; } h2 { font-size: 13pt; margin: 5mm 0 2mm; }
  h3 { font-size: 10pt; margin: 3mm 0 1mm; }
  p, ul, ol, dl, figure { margin: .8mm 0; } li { margin: .2mm 0; } ul, ol { padding-left: 4mm; }
  dl.facts dt { display: inline; font-size: inherit; } dl.facts dt::after { content: ": "; }
  dl.facts dd { display: inline; } dl.facts dd::after { content: "\\A"; white-space: pre; }
  #questions { break-before: page; }
  .flow { columns: 2; column-gap: 6mm; column-fill: auto; }
  .beside { display: block; overflow: hidden; break-inside: avoid; }
  .beside > svg { height: 24mm; float: left; margin-right: 3mm; }
  .zones svg { height: 22mm; }
  .zones { display: block; } .zones li { display: inline-block; width: 24%; vertical-align: top; }
  .skip, .onscreen, nav .up { display: none; }
  .frame { display: block; }
  nav { break-inside: avoid; }
  nav ul { display: block; columns: 3; border: 0; border-bottom: .3mm solid var(--line); padding: 0 0 2mm; }
  nav a { display: inline; padding: 0; }
  nav a::after { content: ", page " target-counter(attr(href), page); }
  main { max-width: none; padding: 0; }
  details::details-content { content-visibility: visible; block-size: auto; }
  details, .card { background: none; margin: 1.2mm 0; } .caution, .do { break-after: avoid; }
  summary { list-style: none; padding: .8mm 1.6mm; min-height: 0; font-weight: bold; break-after: avoid; }
  .helps li, .helps a { padding: 0; } .helps li { break-inside: avoid; }
  li .hazard { background: none; color: inherit; padding: 0; white-space: normal; font-weight: bold; }
  .inside { padding: 0 1.6mm 1mm; break-before: avoid; } .caution { padding: .6mm 1.4mm; }
  h2, h3, h2 + p, h3 + p, .way { break-after: avoid; }
  figure, .zones li, tr, .caution { break-inside: avoid; } dt { break-after: avoid; }
  .wide { overflow: visible; border: 0; padding: 0; }
  .wide svg { min-width: 0; max-height: 225mm; }
  a { color: inherit; text-decoration: none; }
}
"""
