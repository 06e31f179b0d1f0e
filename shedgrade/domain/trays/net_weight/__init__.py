"""Whether packed trays carry what their label says, by one named set of rules."""
