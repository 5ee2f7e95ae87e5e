#include "http_porch.h"

#include <algorithm>
#include <array>
#include <cerrno>
#include <cstdint>
#include <cstring>
#include <string>
#include <system_error>

#include <arpa/inet.h>
#include <netinet/in.h>
#include <sys/epoll.h>
#include <sys/eventfd.h>
#include <sys/socket.h>
#include <unistd.h>

#include "http_gates.h"

namespace rimeglow {
namespace {

constexpr std::size_t kMostVisitors = 256;
constexpr int kMostUnread = 64;  // blocks of 4 KiB
constexpr std::chrono::milliseconds kOutOfDescriptors{10};

[[noreturn]] void refuse_to_listen(const std::string& what) {
  throw std::system_error(errno, std::generic_category(), what);
}

// Bytes left unread would make the system take the answer back; who sends without end loses it.
void turn_away(int socket, const HttpAnswer& answer) {
  const std::string said = "HTTP/1.1 " + std::to_string(answer.status) +
                           " Refused\r\nContent-Type: " + answer.type +
                           "\r\nContent-Length: " + std::to_string(answer.body.size()) +
                           "\r\nConnection: close\r\n\r\n" + answer.body;
  send(socket, said.data(), said.size(), MSG_NOSIGNAL | MSG_DONTWAIT);
  shutdown(socket, SHUT_WR);
  std::array<char, 4096> unread;
  for (int i = 0; i < kMostUnread; ++i) {
    if (recv(socket, unread.data(), unread.size(), MSG_DONTWAIT) <= 0) return;
  }
}

}  // namespace

HttpPorch::HttpPorch(int port)
    : listening_(socket(AF_INET, SOCK_STREAM | SOCK_CLOEXEC | SOCK_NONBLOCK, 0)),
      stopper_(eventfd(0, EFD_CLOEXEC)),
      watcher_(epoll_create1(EPOLL_CLOEXEC)),
      head_(kMostHeadBytes + 1) {
  const int yes = 1;
  sockaddr_in own{};
  own.sin_family = AF_INET;
  own.sin_addr.s_addr = htonl(INADDR_LOOPBACK);
  own.sin_port = htons(static_cast<std::uint16_t>(port));
  sockaddr address{};
  std::memcpy(&address, &own, sizeof own);
  const int listening = listening_.number();
  if (listening < 0 || setsockopt(listening, SOL_SOCKET, SO_REUSEADDR, &yes, sizeof yes) != 0 ||
      bind(listening, &address, sizeof own) != 0 || listen(listening, SOMAXCONN) != 0)
    refuse_to_listen("cannot listen on 127.0.0.1:" + std::to_string(port));
  if (stopper_.number() < 0 || watcher_.number() < 0) refuse_to_listen("cannot watch visitors");
}

int HttpPorch::port() const {
  sockaddr address{};
  sockaddr_in own{};
  socklen_t size = sizeof address;
  getsockname(listening_.number(), &address, &size);
  std::memcpy(&own, &address, sizeof own);
  return ntohs(own.sin_port);
}

void HttpPorch::open(std::chrono::milliseconds patience, std::function<void(int socket)> let_in) {
  patience_ = patience;
  let_in_ = std::move(let_in);
  if (!watch(listening_.number(), EPOLLIN) || !watch(stopper_.number(), EPOLLIN))
    refuse_to_listen("cannot watch visitors");
  thread_ = std::thread([this] { work(); });
}

void HttpPorch::stop() {
  if (!thread_.joinable()) return;
  const std::uint64_t one = 1;
  while (write(stopper_.number(), &one, sizeof one) < 0 && errno == EINTR) {
  }
  thread_.join();
  visitors_.clear();
}

bool HttpPorch::watch(int descriptor, unsigned events) const {
  epoll_event wanted{};
  wanted.events = events;
  wanted.data.fd = descriptor;
  return epoll_ctl(watcher_.number(), EPOLL_CTL_ADD, descriptor, &wanted) == 0;
}

void HttpPorch::work() {
  std::array<epoll_event, 64> events;
  for (;;) {
    const int timeout_ms = visitors_.empty() ? -1 : static_cast<int>(patience_.count() / 4 + 1);
    const int count =
        epoll_wait(watcher_.number(), events.data(), static_cast<int>(events.size()), timeout_ms);
    for (int i = 0; i < count; ++i) {
      const epoll_event& event = events[static_cast<std::size_t>(i)];
      if (event.data.fd == stopper_.number()) return;
      if (event.data.fd == listening_.number()) {
        accept_all();
      } else {
        look_at(event.data.fd, (event.events & (EPOLLRDHUP | EPOLLHUP | EPOLLERR)) != 0);
      }
    }
    shut_out_the_slow();
  }
}

void HttpPorch::accept_all() {
  for (;;) {
    Descriptor socket(accept4(listening_.number(), nullptr, nullptr, SOCK_CLOEXEC));
    if (socket.number() < 0) {
      if (errno == EMFILE || errno == ENFILE) std::this_thread::sleep_for(kOutOfDescriptors);
      return;
    }
    if (visitors_.size() >= kMostVisitors) {
      visitors_.erase(std::min_element(
          visitors_.begin(), visitors_.end(),
          [](const auto& a, const auto& b) { return a.second.since < b.second.since; }));
    }
    const int number = socket.number();
    visitors_[number] = {std::move(socket), Clock::now()};
    // Told of what comes, not of what is there: heads stay unread.
    if (!watch(number, EPOLLIN | EPOLLRDHUP | EPOLLET)) visitors_.erase(number);
  }
}

void HttpPorch::look_at(int socket, bool is_over) {
  const auto visitor = visitors_.find(socket);
  if (visitor == visitors_.end()) return;
  const ssize_t count = recv(socket, head_.data(), head_.size(), MSG_PEEK | MSG_DONTWAIT);
  const std::string_view come(head_.data(), count > 0 ? static_cast<std::size_t>(count) : 0);
  const Framing framing = framing_of(come);
  if (framing == Framing::whole) {
    epoll_ctl(watcher_.number(), EPOLL_CTL_DEL, socket, nullptr);
    let_in_(visitor->second.socket.release());
  } else if (framing == Framing::broken) {
    turn_away(socket, refusal(400, "lines of a request's head end in CR LF"));
  } else if (come.size() > kMostHeadBytes) {
    turn_away(socket, refusal(431, "the head of a request is longer than 16 KiB"));
  } else if (!is_over) {
    return;
  }
  visitors_.erase(visitor);
}

void HttpPorch::shut_out_the_slow() {
  const Clock::time_point latest = Clock::now() - patience_;
  for (auto visitor = visitors_.begin(); visitor != visitors_.end();) {
    visitor = visitor->second.since < latest ? visitors_.erase(visitor) : std::next(visitor);
  }
}

}  // namespace rimeglow
