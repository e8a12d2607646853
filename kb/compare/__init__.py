"""What two rulesets say differently, by entry and by key and never by line."""
