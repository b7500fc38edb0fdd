"""What several test modules share and pytest does not give. No test in here."""
