"""Studios: places that rulesets are taken from and published to, and what was taken from them.

`places` says which places there may be, `git` runs git so that it runs nothing else, `reading`
reads what a place offers, `keeping` takes it in, and `publishing` puts a ruleset there.
"""
