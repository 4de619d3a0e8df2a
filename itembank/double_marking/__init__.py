"""Whether two markers of the same scripts agree, where they do not, and what to mark again."""
