"""The full screen: what Textual shows of a desk, and nothing that the plain lines could not do."""
