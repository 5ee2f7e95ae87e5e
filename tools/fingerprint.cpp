#include "fingerprint.h"

namespace rimeglow {

std::uint64_t fnv1a(std::string_view bytes, std::uint64_t start) {
  constexpr std::uint64_t kPrime = 0x100000001b3;
  std::uint64_t hash = start;
  for (const char byte : bytes) {
    hash = (hash ^ static_cast<unsigned char>(byte)) * kPrime;
  }
  return hash;
}

std::string inputs_hash(std::span<const std::string_view> parts) {
  std::uint64_t hash = kFnvStart;
  for (const std::string_view part : parts) {
    hash = fnv1a(std::to_string(part.size()) + ":", hash);
    hash = fnv1a(part, hash);
  }
  std::string text = "fnv1a64:";
  for (int shift = 60; shift >= 0; shift -= 4) text += "0123456789abcdef"[hash >> shift & 0xF];
  return text;
}

}  // namespace rimeglow
