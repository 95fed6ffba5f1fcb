"""PURE: from what was found and what a golfer has time for, to priorities and six weeks."""
