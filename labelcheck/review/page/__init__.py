"""The page: one self-contained file that a team reads, signs, prints and keeps."""
