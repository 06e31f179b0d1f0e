"""What is checked, in folders that mirror the program's."""
