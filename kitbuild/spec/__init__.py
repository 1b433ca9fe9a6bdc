"""From the text of the spec files to checked records; nothing is computed and nothing is guessed."""
