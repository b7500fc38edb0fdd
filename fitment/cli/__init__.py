"""How it is asked and answered on a terminal: one thin file per command. No formula, no statement, no verdict here."""
