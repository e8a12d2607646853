"""Listening to a crow. Pure, and numpy alone.

`sound` makes numbers of samples, `spectrum` finds what sounds in them, `crow` says what was heard,
`suggested` what that suggests under a ruleset.
"""
