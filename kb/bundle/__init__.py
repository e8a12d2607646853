"""One file for sharing: rulesets, what they stand on, pictures, and a list with the sha256 of each.

`kb.bundle.gathering` finds what belongs together, `kb.bundle.archive` makes a zip file of it and
reads one back, `kb.filenames` says which names are safe on every system, `kb.bundle.contents`
is the list, and `kb.bundle.judging` reads the rulesets inside as every other face does.
"""
