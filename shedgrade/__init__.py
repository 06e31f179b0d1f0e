"""shedgrade: fruit grading and tray counts for a packing shed."""
