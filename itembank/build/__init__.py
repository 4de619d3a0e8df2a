"""From a bank to a folder of finished files: draw, prove, write beside, move into place."""

from itembank.build.build import BuildRequest, BuildResult, build

__all__ = ["BuildRequest", "BuildResult", "build"]
