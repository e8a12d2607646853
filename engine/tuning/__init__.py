"""Tuning: what a reed log teaches about the chances that a ruleset states.

`chances` numbers what can be tuned, `evidence` turns logs into reeds, `counting` counts on one reed
(expectation), `fitting` makes chances of the counts (maximisation) until nothing moves, `proposals`
says what the evidence carries, `held_out` tries it on reeds that were not learnt from, `outcomes`
says what it changes in advice. All pure: who counts, and in how many processes, is handed in.
"""
