"""What the trials of a ruleset leave untested: parts whose loss no trial notices.

That is mutation testing: a change to the thing under test that no test fails on is a place where
nothing is tested (R. DeMillo, R. Lipton and F. Sayward, Hints on test data selection, Computer 11(4),
1978, from memory). The changes here are losses: a link, an effect, a condition, an operation.
"""
