"""Files as arrays: what they are, their colours, and their pixels at the cheapest scale that is enough."""
