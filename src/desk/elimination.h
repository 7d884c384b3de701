// The order in which a symmetric sparse matrix is factored, and where its factor has entries. The node with the fewest
// neighbours left goes first: a leaf of a tree before its trunk, so that a tree's factor has no entry that the matrix
// has not. Source: any text on sparse matrices, e.g. T. A. Davis, Direct Methods for Sparse Linear Systems, 2006 (from
// memory).
#pragma once

#include <cstddef>
#include <cstdint>
#include <vector>

namespace ringout::desk {

struct Pair {
  std::uint32_t a, b;  // a ≠ b
};

struct Elimination {
  std::vector<std::uint32_t> place;         // variable → place in the order
  std::vector<std::uint32_t> column_start;  // per place, into `rows`; one more than there are variables
  std::vector<std::uint32_t> rows;          // places below the diagonal, rising within a column
};

// `pairs` may repeat.
[[nodiscard]] Elimination eliminate(std::size_t size, const std::vector<Pair>& pairs);

}  // namespace ringout::desk
