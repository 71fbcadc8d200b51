"""Pages for people: what the stages return, as HTML."""
