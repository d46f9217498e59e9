"""The fixtures of this folder."""

from tests.press.press_boards import two_posts

__all__ = ["two_posts"]
