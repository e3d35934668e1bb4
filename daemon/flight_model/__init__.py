"""An aircraft that none of us wrote, flown by control loops: the flight model, its pilot and its scenes."""
