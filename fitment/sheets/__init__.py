"""What is printed and handed over. Belongs here: text, pages and drawings made from a report; not how it was found."""
