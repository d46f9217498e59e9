"""The Gerber layer format: bytes -> commands -> artwork."""
