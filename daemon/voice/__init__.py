"""The voice in the headset: voices, the queue that decides what is said next, and the ways out (device, file)."""
