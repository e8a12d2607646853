"""placeholder until the checks stand (a few minutes)."""
def run(ruleset, suspects, *, lost_links): return ()
