#include "http_gates.h"

#include <algorithm>
#include <array>
#include <cctype>
#include <charconv>
#include <system_error>

#include <sys/random.h>
#include <nlohmann/json.hpp>

namespace rimeglow {
namespace {

bool same_name(std::string_view a, std::string_view b) {
  return std::equal(a.begin(), a.end(), b.begin(), b.end(), [](char x, char y) {
    return std::tolower(static_cast<unsigned char>(x)) ==
           std::tolower(static_cast<unsigned char>(y));
  });
}

std::size_t times(const RequestHead& head, std::string_view name) {
  return static_cast<std::size_t>(
      std::count_if(head.headers.begin(), head.headers.end(),
                    [&](const auto& entry) { return same_name(entry.first, name); }));
}

// Takes as long whatever the first difference is.
bool same_secret(std::string_view a, std::string_view b) {
  if (a.size() != b.size()) return false;
  int difference = 0;
  for (std::size_t i = 0; i < a.size(); ++i) difference |= a[i] ^ b[i];
  return difference == 0;
}

std::optional<std::size_t> whole_number(std::string_view digits) {
  std::size_t value = 0;
  const auto [end, error] = std::from_chars(digits.data(), digits.data() + digits.size(), value);
  const bool is_whole = error == std::errc{} && end == digits.data() + digits.size();
  return is_whole ? std::optional(value) : std::nullopt;
}

bool is_own_host(const Doorway& doorway, std::string_view host) {
  const std::string port = ":" + std::to_string(doorway.port);
  return host == "127.0.0.1" + port || host == "localhost" + port;
}

// A browser says where a request comes from; other programs need not.
bool is_from_elsewhere(const Doorway& doorway, const RequestHead& head) {
  if (const auto origin = header(head, "Origin")) {
    constexpr std::string_view kScheme = "http://";
    if (!origin->starts_with(kScheme) || !is_own_host(doorway, origin->substr(kScheme.size())))
      return true;
  }
  const auto site = header(head, "Sec-Fetch-Site");
  return site && *site != "same-origin" && *site != "none";
}

// RFC 9110, 5.6.2.
bool is_header_name(std::string_view name) {
  constexpr std::string_view kMarks = "!#$%&'*+-.^_`|~";
  return !name.empty() && std::all_of(name.begin(), name.end(), [&](char letter) {
    return std::isalnum(static_cast<unsigned char>(letter)) ||
           kMarks.find(letter) != std::string_view::npos;
  });
}

std::optional<HttpAnswer> malformed(const RequestHead& head) {
  for (const auto& [name, value] : head.headers) {
    if (!is_header_name(name)) return refusal(400, "a header has no proper name");
  }
  for (const char* once : {"Host", "Content-Length", "Origin", kTokenHeader}) {
    if (times(head, once) > 1) return refusal(400, std::string(once) + " is said twice");
  }
  if (header(head, "Transfer-Encoding"))
    return refusal(400, "a body needs a Content-Length and no Transfer-Encoding");
  const auto length = header(head, "Content-Length");
  if (length && !whole_number(*length)) return refusal(400, "Content-Length is no number");
  return std::nullopt;
}

}  // namespace

HttpAnswer refusal(int status, std::string_view words) {
  const nlohmann::json said = {{"problem", words}};
  return {status, "application/json",
          said.dump(-1, ' ', false, nlohmann::json::error_handler_t::replace)};
}

Framing framing_of(std::string_view bytes) {
  using namespace std::string_view_literals;
  for (std::size_t line = 0;;) {
    const std::size_t end = bytes.find_first_of("\r\n\0"sv, line);
    if (end == bytes.npos) return Framing::partial;
    if (bytes[end] != '\r') return Framing::broken;
    if (end + 1 == bytes.size()) return Framing::partial;
    if (bytes[end + 1] != '\n') return Framing::broken;
    if (end == line) return line == 0 ? Framing::broken : Framing::whole;
    if (bytes[line] == ' ' || bytes[line] == '\t') return Framing::broken;
    line = end + 2;
  }
}

std::optional<std::string_view> header(const RequestHead& head, std::string_view name) {
  const auto found = std::find_if(head.headers.begin(), head.headers.end(),
                                  [&](const auto& entry) { return same_name(entry.first, name); });
  if (found == head.headers.end()) return std::nullopt;
  return std::string_view(found->second);
}

std::optional<HttpAnswer> refused_at(const Doorway& doorway, const RequestHead& head) {
  if (auto answer = malformed(head)) return answer;
  if (!is_own_host(doorway, header(head, "Host").value_or("")))
    return refusal(421, "this server answers to its own address only");
  const bool is_get = head.method == "GET";
  if (!is_get && head.method != "POST") return refusal(405, "only GET and POST are understood");
  const bool is_api = head.path.starts_with(kApi);
  // A link to the page may stand anywhere; all else only the page itself asks for.
  const bool is_entry = is_get && head.path == "/";
  if (!is_entry && is_from_elsewhere(doorway, head))
    return refusal(403, "asked for by another page");
  if (is_api && !same_secret(header(head, kTokenHeader).value_or(""), doorway.token))
    return refusal(403, "open the address that rimeglow serve printed: it has changed");
  if (is_get) {
    if (body_bytes(head) > 0) return refusal(400, "a GET has no body");
    return std::nullopt;
  }
  if (!is_api) return refusal(405, "nothing to change here");
  if (!header(head, "Content-Length")) return refusal(411, "a change needs a Content-Length");
  if (body_bytes(head) > kMostBodyBytes) return refusal(413, "larger than 25 MB");
  return std::nullopt;
}

std::size_t body_bytes(const RequestHead& head) {
  return whole_number(header(head, "Content-Length").value_or("0")).value_or(0);
}

std::string new_token() {
  std::array<unsigned char, 16> bytes{};
  if (getrandom(bytes.data(), bytes.size(), 0) != static_cast<ssize_t>(bytes.size()))
    throw std::system_error(errno, std::generic_category(), "cannot get random bytes");
  constexpr std::string_view kDigits = "0123456789abcdef";
  std::string token;
  for (const unsigned char byte : bytes) {
    token += kDigits[byte >> 4];
    token += kDigits[byte & 15];
  }
  return token;
}

}  // namespace rimeglow
