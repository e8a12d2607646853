"""The rulesets that ship. Data only; this file lets an installed copy find them."""
