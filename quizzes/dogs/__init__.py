"""A club's library of dogs: kept and described once, copied into many classes."""
