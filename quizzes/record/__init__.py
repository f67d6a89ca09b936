"""A person's own record: what they did and what came of it, as pages, as pictures and as files to take away."""
