"""Paper and pictures: charts, cards."""
