//! Agreement of two annotation sets by ANSI/AAMI EC57.
