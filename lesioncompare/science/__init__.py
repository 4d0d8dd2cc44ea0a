"""Arrays and floats in and out, each method with its paper."""
