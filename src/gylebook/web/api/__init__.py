"""The book for programs: the same acts, questions and answers as the pages, as JSON."""
