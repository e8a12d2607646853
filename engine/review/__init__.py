"""Questions about what a ruleset does: checks that need chances, and virtual reeds to try them on.

Each question is one module here, one row of `kb.checks.catalogue` at `Stage.BEHAVIOUR`, and one page
in `docs/checks/`. They stand apart from the other checks because they load the numbers and take
their time.
"""
