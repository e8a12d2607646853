"""What is known: rulesets and the reed log. The only package that opens, writes and runs."""
