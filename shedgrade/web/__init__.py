"""Pages and forms: load, parse, act, commit, answer."""
