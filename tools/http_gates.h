// What a request must be before the page's server looks at it: properly framed, meant for this
// server, sent by this page, of a length said once and not too large. Pure: from the head of a
// request to a refusal.
#pragma once

#include <cstddef>
#include <optional>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

namespace rimeglow {

struct HttpAnswer {
  int status = 200;
  std::string type = "application/json";
  std::string body{};
  std::string file_name{};  // when it is to be saved under a name
  std::string caption{};    // a word about a picture, for kCaptionHeader
};

// An answer that says in words what is wrong, as JSON: {"problem": words}.
HttpAnswer refusal(int status, std::string_view words);

// How a request's bytes begin: with a whole head, with part of one, or with what is none. Stricter
// than RFC 9112 allows: each line ends in CR LF (2.2), no empty one comes first, none is folded.
enum class Framing { partial, whole, broken };
Framing framing_of(std::string_view bytes);

struct RequestHead {
  std::string method;
  std::string path;
  std::vector<std::pair<std::string, std::string>> headers;
};

// The value of a header by its name, whatever the case; the first when there are several.
std::optional<std::string_view> header(const RequestHead& head, std::string_view name);

// What the gates compare with.
struct Doorway {
  int port = 0;
  std::string token;
};

inline constexpr const char* kTokenHeader = "X-Rimeglow-Token";
inline constexpr const char* kCaptionHeader = "X-Rimeglow-Caption";
inline constexpr std::string_view kApi = "/api/";  // all below it needs the token
inline constexpr std::size_t kMostHeadBytes = 16 * 1024;
inline constexpr std::size_t kMostBodyBytes = 25'000'000;

// Why the request is not let in; none when it is.
std::optional<HttpAnswer> refused_at(const Doorway& doorway, const RequestHead& head);

// What a head that was let in says of its body; 0 without one.
std::size_t body_bytes(const RequestHead& head);

// A token nobody can guess: 128 bits from the system, in hexadecimal.
std::string new_token();

}  // namespace rimeglow
