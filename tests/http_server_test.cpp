// The page's server as a stranger meets it, over plain sockets: what it lets in, what it refuses,
// and that nothing sent to it costs more than a little memory for a little while.
#include <gtest/gtest.h>

#include <atomic>
#include <chrono>
#include <fstream>
#include <functional>
#include <string>
#include <thread>
#include <vector>

#include <arpa/inet.h>
#include <netinet/in.h>
#include <poll.h>
#include <sys/socket.h>
#include <unistd.h>

#include "http_server.h"

namespace rimeglow::http_server_test {
namespace {

using Clock = std::chrono::steady_clock;

constexpr PageFile kFiles[] = {{"/", "text/html; charset=utf-8", "<title>page</title>"},
                               {"/page.js", "text/javascript", "let a;"}};

// The address sanitizer keeps freed memory for a while, so that nothing can be said under it.
double resident_mb() {
#ifdef __SANITIZE_ADDRESS__
  return 0.0;
#endif
  std::ifstream statm("/proc/self/statm");
  double all = 0.0, resident = 0.0;
  statm >> all >> resident;
  return resident * static_cast<double>(sysconf(_SC_PAGESIZE)) / 1e6;
}

class Visitor {
 public:
  explicit Visitor(int port, in_addr_t address = INADDR_LOOPBACK)
      : socket_(socket(AF_INET, SOCK_STREAM | SOCK_CLOEXEC, 0)) {
    sockaddr_in to{};
    to.sin_family = AF_INET;
    to.sin_addr.s_addr = htonl(address);
    to.sin_port = htons(static_cast<std::uint16_t>(port));
    connected_ = connect(socket_, reinterpret_cast<sockaddr*>(&to), sizeof to) == 0;
  }
  ~Visitor() { close(socket_); }
  Visitor(const Visitor&) = delete;
  Visitor& operator=(const Visitor&) = delete;

  bool connected() const { return connected_; }

  // Until all is sent, or the server wants no more.
  bool say(std::string_view text) {
    while (!text.empty()) {
      const ssize_t sent = send(socket_, text.data(), text.size(), MSG_NOSIGNAL);
      if (sent <= 0) return false;
      text.remove_prefix(static_cast<std::size_t>(sent));
    }
    return true;
  }

  // What comes until the server closes, the text is found in it, or time is up.
  std::string hear(const std::string& until = "", double seconds = 10.0) {
    std::string heard;
    const auto end = Clock::now() + std::chrono::duration<double>(seconds);
    while (Clock::now() < end && (until.empty() || heard.find(until) == std::string::npos)) {
      pollfd ready{socket_, POLLIN, 0};
      if (poll(&ready, 1, 100) <= 0) continue;
      char block[4096];
      const ssize_t count = recv(socket_, block, sizeof block, 0);
      if (count <= 0) break;
      heard.append(block, static_cast<std::size_t>(count));
    }
    return heard;
  }

  // Whether the server has closed by then.
  bool is_turned_away(double seconds) {
    const auto end = Clock::now() + std::chrono::duration<double>(seconds);
    while (Clock::now() < end) {
      pollfd ready{socket_, POLLIN, 0};
      if (poll(&ready, 1, 100) <= 0) continue;
      char block[4096];
      if (recv(socket_, block, sizeof block, 0) <= 0) return true;
    }
    return false;
  }

 private:
  int socket_;
  bool connected_;
};

class Server : public testing::Test {
 protected:
  HttpSite site() {
    return {kFiles, [this](const HttpRequest& request) { return answer(request); },
            [this](const HttpRequest& request) { return change(request); },
            [this] {
              const Events first = {{"hello", "1"}, {"round", "1"}};
              if (asked_for_greeting_) asked_for_greeting_();
              return first;
            }};
  }

  HttpAnswer answer(const HttpRequest& request) {
    return {200, "text/plain", "asked " + request.path + " " + request.at("x")};
  }

  HttpAnswer change(const HttpRequest& request) {
    ++changes_;
    return {200, "text/plain", "changed by " + std::to_string(request.body.size())};
  }

  std::string host() const { return "Host: 127.0.0.1:" + std::to_string(server_.port()) + "\r\n"; }
  std::string token() const {
    const std::string address = server_.address();
    return std::string(kTokenHeader) + ": " + address.substr(address.find('#') + 1) + "\r\n";
  }

  std::string reply_to(const std::string& request) const {
    Visitor visitor(server_.port());
    visitor.say(request);
    return visitor.hear("", 5.0);
  }

  int status_of(const std::string& request) const {
    const std::string reply = reply_to(request);
    return reply.size() > 12 ? std::stoi(reply.substr(9, 3)) : 0;
  }

  std::string get(const std::string& path, const std::string& more = "") const {
    return "GET " + path + " HTTP/1.1\r\n" + host() + more + "Connection: close\r\n\r\n";
  }
  std::string post(const std::string& more, const std::string& body = "abc") const {
    return "POST /api/edit HTTP/1.1\r\n" + host() + more + "Connection: close\r\n\r\n" + body;
  }
  static std::string length(std::size_t bytes) {
    return "Content-Length: " + std::to_string(bytes) + "\r\n";
  }

  // One visit as the page makes it.
  bool still_answers() const {
    return reply_to(get("/api/state?x=7", token())).find("asked state 7") != std::string::npos;
  }

  std::function<void()> asked_for_greeting_;
  std::atomic<int> changes_ = 0;
  HttpServer server_{site(), 0, {std::chrono::seconds(2), std::chrono::milliseconds(200)}};
};

TEST_F(Server, GivesItsFilesToAnyoneAndItsAnswersToThePage) {
  const std::string page = reply_to(get("/"));
  EXPECT_EQ(page.substr(0, 15), "HTTP/1.1 200 OK");
  EXPECT_NE(page.find("<title>page"), std::string::npos);
  EXPECT_NE(page.find("Content-Security-Policy: default-src 'none'"), std::string::npos);
  EXPECT_EQ(page.find(token().substr(18)), std::string::npos) << "the page itself holds no secret";
  EXPECT_EQ(page.find("Access-Control"), std::string::npos);
  EXPECT_TRUE(still_answers());
  EXPECT_NE(reply_to(post(token() + length(3))).find("changed by 3"), std::string::npos);
  const std::string other = HttpServer(site(), 0).address();
  EXPECT_EQ(token().find(other.substr(other.find('#') + 1)), std::string::npos) << "of this run";
}

// All of 127.0.0.0/8 is this machine, so that 127.0.0.2 finds whoever listens on every address.
TEST_F(Server, ListensOnOneAddressOfThisMachineAlone) {
  EXPECT_TRUE(Visitor(server_.port()).connected());
  EXPECT_FALSE(Visitor(server_.port(), INADDR_LOOPBACK + 1).connected());
}

TEST_F(Server, RefusesAForeignOrOddHost) {
  const std::string port = std::to_string(server_.port());
  for (const std::string& host :
       {"Host: rimeglow.example:" + port + "\r\n", std::string("Host: 127.0.0.1\r\n"),
        "Host: 127.0.0.1:" + port + ".\r\n", "Host: 0.0.0.0:" + port + "\r\n",
        "Host: [::1]:" + port + "\r\n", "Host: LOCALHOST:" + port + "\r\n",
        "Host: a@127.0.0.1:" + port + "\r\n"}) {
    EXPECT_EQ(status_of("GET / HTTP/1.1\r\n" + host + "Connection: close\r\n\r\n"), 421) << host;
    EXPECT_EQ(status_of("POST /api/edit HTTP/1.1\r\n" + host + token() + length(0) +
                        "Connection: close\r\n\r\n"),
              421)
        << host;
  }
  EXPECT_GE(status_of("GET / HTTP/1.1\r\nConnection: close\r\n\r\n"), 400) << "none at all";
  EXPECT_EQ(status_of("GET / HTTP/1.0\r\n\r\n"), 421);
  EXPECT_EQ(changes_, 0);
}

TEST_F(Server, RefusesChangesFromElsewhereOrWithoutToken) {
  const std::string own = "Origin: http://127.0.0.1:" + std::to_string(server_.port()) + "\r\n";
  EXPECT_EQ(status_of(post(own + token() + length(3))), 200);
  EXPECT_EQ(changes_, 1);
  for (const std::string& origin :
       {std::string("Origin: https://example.org\r\n"), std::string("Origin: null\r\n"),
        std::string("Origin: http://127.0.0.1:1\r\n"),
        std::string("Sec-Fetch-Site: cross-site\r\n"), std::string("Sec-Fetch-Site: same-site\r\n"),
        "Origin: https" + own.substr(12)}) {
    EXPECT_EQ(status_of(post(origin + token() + length(3))), 403) << origin;
    EXPECT_EQ(status_of(get("/api/state", origin + token())), 403) << origin;
    EXPECT_EQ(status_of(get("/page.js", origin)), 403) << origin;
  }
  const std::string right = token();
  const std::string shorter = right.substr(0, right.size() - 3) + "\r\n";
  std::string other = right;
  other[other.size() - 3] = other[other.size() - 3] == '0' ? '1' : '0';
  for (const std::string& wrong :
       {std::string(), shorter, other, std::string(kTokenHeader) + ":\r\n"}) {
    EXPECT_EQ(status_of(post(wrong + length(3))), 403) << wrong;
    EXPECT_EQ(status_of(get("/api/state", wrong)), 403) << wrong;
    EXPECT_EQ(status_of(get("/api/events", wrong)), 403) << wrong;
  }
  EXPECT_EQ(status_of("OPTIONS /api/edit HTTP/1.1\r\n" + host() + "Connection: close\r\n\r\n"),
            405);
  EXPECT_EQ(status_of("DELETE /api/edit HTTP/1.1\r\n" + host() + "Connection: close\r\n\r\n"), 405);
  EXPECT_EQ(changes_, 1) << "nothing changed";
}

TEST_F(Server, RefusesBodiesWhoseLengthIsNotSaidOnce) {
  const std::string chunks = "Transfer-Encoding: chunked\r\n";
  EXPECT_EQ(status_of(post(token() + length(3) + chunks, "3\r\nabc\r\n0\r\n\r\n")), 400);
  EXPECT_EQ(status_of(post(token() + chunks, "3\r\nabc\r\n0\r\n\r\n")), 400);
  EXPECT_EQ(status_of(post(token() + chunks, "zz\r\nabc\r\n")), 400);
  EXPECT_EQ(status_of(post(token() + "Transfer-Encoding: gzip\r\n")), 400);
  EXPECT_EQ(status_of(post(token() + length(3) + length(3))), 400);
  EXPECT_EQ(status_of(post(token() + length(3) + length(4))), 400);
  EXPECT_EQ(status_of(post(token() + "Content-Length: 3, 3\r\n")), 400);
  EXPECT_EQ(status_of(post(token() + "Content-Length: -3\r\n")), 400);
  EXPECT_EQ(status_of(post(token() + "Content-Length: 0x3\r\n")), 400);
  EXPECT_EQ(status_of(post(token() + host() + length(3))), 400) << "two hosts";
  EXPECT_EQ(status_of(post(token() + token() + length(3))), 400) << "two tokens";
  EXPECT_EQ(status_of(post(token())), 411);
  EXPECT_EQ(status_of(post(token() + length(25'000'001))), 413);
  EXPECT_EQ(status_of(post(token() + length(9'999'999'999))), 413);
  EXPECT_EQ(changes_, 0);
}

TEST_F(Server, RefusesOddNamesOfHeadersAndOtherVersions) {
  EXPECT_EQ(status_of(post(token() + "Content-Length : 3\r\n")), 400);
  EXPECT_EQ(status_of(post(token() + length(3) + "Content\tLength: 3\r\n")), 400);
  EXPECT_EQ(status_of("GET / HTTP/9.9\r\n" + host() + "Connection: close\r\n\r\n"), 505);
  EXPECT_EQ(changes_, 0);
}

// RFC 9112, 2.2, 5.1 and 5.2: what other servers might read otherwise.
TEST_F(Server, RefusesHeadsWhoseLinesAreNotPlainlyParted) {
  const std::string whole = post(token() + length(3));
  ASSERT_EQ(status_of(whole), 200);
  for (std::size_t end = whole.find("\r\n"); end != whole.npos; end = whole.find("\r\n", end + 2)) {
    EXPECT_EQ(status_of(std::string(whole).erase(end, 1)), 400) << "no CR at " << end;
    EXPECT_EQ(status_of(std::string(whole).erase(end + 1, 1)), 400) << "no LF at " << end;
    EXPECT_EQ(status_of(std::string(whole).insert(end, 1, '\0')), 400) << "NUL at " << end;
  }
  EXPECT_EQ(status_of("\r\n" + whole), 400) << "an empty line first";
  EXPECT_EQ(status_of(post(token() + length(3) + "X: a\r\n b\r\n")), 400) << "a folded line";
  EXPECT_EQ(status_of(get("/", "X: " + std::string(16 * 1024, 'x') + "\r\n")), 431);
  EXPECT_EQ(changes_, 1);
}

TEST_F(Server, ReadsOneRequestAConnection) {
  const std::string twice = "GET /api/state?x=1 HTTP/1.1\r\n" + host() + token() + "\r\n" +
                            get("/api/state?x=2", token());
  const std::string reply = reply_to(twice);
  EXPECT_NE(reply.find("asked state 1"), std::string::npos);
  EXPECT_EQ(reply.find("asked state 2"), std::string::npos);
}

TEST_F(Server, WaitsForHeadsThatComeInPieces) {
  Visitor visitor(server_.port());
  for (const char letter : post(token() + length(3))) {
    ASSERT_TRUE(visitor.say({&letter, 1}));
    if (letter == '\n') std::this_thread::sleep_for(std::chrono::milliseconds(10));
  }
  EXPECT_NE(visitor.hear().find("changed by 3"), std::string::npos);
}

TEST_F(Server, ForgetsWhoLeavesBeforeSayingAnything) {
  for (int i = 0; i < 400; ++i) Visitor(server_.port()).say("GET / HT");
  EXPECT_TRUE(still_answers());
}

TEST_F(Server, HasRoomForOneMoreThanThoseWhoSayNothing) {
  std::vector<std::unique_ptr<Visitor>> silent;
  for (int i = 0; i < 300; ++i) silent.push_back(std::make_unique<Visitor>(server_.port()));
  EXPECT_TRUE(still_answers());
}

TEST_F(Server, FindsNoFilesBesideItsOwn) {
  for (const char* path :
       {"/../etc/passwd", "/%2e%2e/%2e%2e/etc/passwd", "//etc/passwd", "/page.js/", "/page.js%00",
        "/./page.js", "/PAGE.JS", "/..%5c..%5cetc", "/api", "/tools/page/page.js"}) {
    const int status = status_of(get(path));
    EXPECT_TRUE(status == 404 || status == 400) << path << " " << status;
  }
  EXPECT_NE(status_of(get("http://127.0.0.1/")), 200);
}

// Sends for as long as the server takes it.
TEST_F(Server, StandsEndlessHeadersAndBodies) {
  ASSERT_TRUE(still_answers());
  const double before_mb = resident_mb();
  const std::string block(1 << 20, 'a');
  {
    Visitor line(server_.port());
    line.say("GET / HTTP/1.1\r\n" + host() + "X-Long: ");
    for (int i = 0; i < 100 && line.say(block); ++i) {
    }
    Visitor address(server_.port());
    address.say("GET /");
    for (int i = 0; i < 100 && address.say(block); ++i) {
    }
    Visitor many(server_.port());
    many.say("GET / HTTP/1.1\r\n" + host());
    for (int i = 0; i < 200'000 && many.say("X: y\r\n"); ++i) {
    }
    Visitor body(server_.port());
    body.say("POST /api/edit HTTP/1.1\r\n" + host() + token() + length(99'999'999'999) + "\r\n");
    for (int i = 0; i < 100 && body.say(block); ++i) {
    }
    Visitor unasked(server_.port());
    unasked.say("POST /api/edit HTTP/1.1\r\n" + host() + length(20'000'000) + "\r\n");
    for (int i = 0; i < 100 && unasked.say(block); ++i) {
    }
    EXPECT_LT(resident_mb(), before_mb + 20.0) << "while they are there";
    EXPECT_TRUE(still_answers());
  }
  EXPECT_LT(resident_mb(), before_mb + 20.0) << "afterwards";
  EXPECT_EQ(changes_, 0);
}

TEST_F(Server, AnswersBesideSlowVisitorsAndShutsThemOut) {
  const double before_mb = resident_mb();
  std::vector<std::unique_ptr<Visitor>> slow;
  for (int i = 0; i < 64; ++i) {
    slow.push_back(std::make_unique<Visitor>(server_.port()));
    slow.back()->say("GET / HTTP/1.1\r\n" + host() + "X: ");
  }
  EXPECT_TRUE(still_answers());
  EXPECT_LT(resident_mb(), before_mb + 20.0);
  const auto begin = Clock::now();
  for (;;) {  // a letter now and then keeps them from being idle
    bool is_open = false;
    for (const auto& visitor : slow) is_open = visitor->say("a") || is_open;
    if (!is_open || Clock::now() - begin > std::chrono::seconds(20)) break;
    std::this_thread::sleep_for(std::chrono::milliseconds(250));
  }
  for (const auto& visitor : slow) EXPECT_TRUE(visitor->is_turned_away(1.0));
  EXPECT_TRUE(still_answers());
}

TEST_F(Server, TellsEventsAsTheyHappen) {
  Visitor page(server_.port());
  page.say(get("/api/events", token()));
  EXPECT_NE(page.hear("data: 1\n\n").find("event: hello\ndata: 1\n\n"), std::string::npos);
  server_.publish("round", "{\"n\":2}");
  EXPECT_NE(page.hear("2}\n\n").find("event: round\ndata: {\"n\":2}\n\n"), std::string::npos);
}

TEST_F(Server, LosesNoEventThatIsToldWhileTheGreetingIsAsked) {
  asked_for_greeting_ = [this] { server_.publish("round", "2"); };
  Visitor page(server_.port());
  page.say(get("/api/events", token()));
  const std::string heard = page.hear("data: 2\n\n");
  EXPECT_LT(heard.find("event: hello\ndata: 1\n\n"), heard.find("event: round\ndata: 2\n\n"))
      << heard;
  EXPECT_EQ(heard.find("event: round\ndata: 1\n\n"), std::string::npos) << "the last of each kind";
}

TEST_F(Server, KeepsOnlyTheLastEventForAPageThatDoesNotRead) {
  Visitor page(server_.port());
  page.say(get("/api/events", token()));
  page.hear("data: 1\n\n");
  const double before_mb = resident_mb();
  const std::string data = "\"" + std::string(100'000, 'x') + "\"";
  for (int i = 0; i < 1000; ++i) server_.publish("round", data);
  EXPECT_LT(resident_mb(), before_mb + 20.0);
  EXPECT_TRUE(still_answers());
}

TEST_F(Server, EndsTheOldestOfTooManyStreams) {
  std::vector<std::unique_ptr<Visitor>> pages;
  for (std::size_t i = 0; i <= HttpStreams::kMostStreams; ++i) {
    pages.push_back(std::make_unique<Visitor>(server_.port()));
    pages.back()->say(get("/api/events", token()));
    pages.back()->hear("data: 1\n\n");
  }
  EXPECT_TRUE(pages.front()->is_turned_away(5.0));
  server_.publish("round", "3");
  EXPECT_NE(pages.back()->hear("data: 3\n\n").find("data: 3"), std::string::npos);
}

}  // namespace
}  // namespace rimeglow::http_server_test
