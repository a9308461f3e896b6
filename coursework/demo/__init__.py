"""The invented term: Tern Harbor Technical Institute, its people, coupons and pictures."""
