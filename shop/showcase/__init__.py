"""What visitors are shown: looks that the workshop composes, and builds that it has finished."""
