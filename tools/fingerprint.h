// A short name for a set of inputs, to tell whether two results were made from the same: 64 bits
// of FNV-1a. Finds accidents; no protection against forgery.
#pragma once

#include <cstdint>
#include <span>
#include <string>
#include <string_view>

namespace rimeglow {

inline constexpr std::uint64_t kFnvStart = 0xcbf29ce484222325;

// FNV-1a of the bytes (Fowler, Noll and Vo), going on from an earlier result.
std::uint64_t fnv1a(std::string_view bytes, std::uint64_t start = kFnvStart);

// "fnv1a64:" and 16 hexadecimal digits over scene text and art files, each with its length.
std::string inputs_hash(std::span<const std::string_view> parts);

}  // namespace rimeglow
