#include "http_server.h"

#include <atomic>
#include <condition_variable>
#include <system_error>
#include <thread>
#include <utility>

#include <sys/socket.h>

#include "clerk.h"
#include "http_porch.h"

namespace rimeglow {
namespace {

using Clock = std::chrono::steady_clock;

constexpr std::size_t kConnectionBytes = 32 * 1024;  // headers included
constexpr unsigned kMostConnections = 256;
constexpr unsigned kIdle_s = 60;
constexpr std::size_t kMostBodiesBytes = 2 * kMostBodyBytes;  // of all requests together
constexpr std::size_t kMostOrders = 16;

constexpr std::pair<const char*, const char*> kHeaders[] = {
    {"Content-Security-Policy",
     "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' blob:; "
     "connect-src 'self'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'; "
     "require-trusted-types-for 'script'"},
    {"X-Content-Type-Options", "nosniff"},
    {"X-Frame-Options", "DENY"},
    {"Referrer-Policy", "no-referrer"},
    {"Cross-Origin-Opener-Policy", "same-origin"},
    {"Cross-Origin-Resource-Policy", "same-origin"},
    {"Permissions-Policy", "camera=(), geolocation=(), microphone=()"},
    {"Cache-Control", "no-store"},
    // The porch has seen one head only.
    {"Connection", "close"}};

// A connection; shut when a whole request takes too long to come over it.
struct Waiting {
  int socket = -1;
  std::string path;  // of its request as it was sent, where nothing is unescaped
  Clock::time_point since = Clock::now();
  bool is_served = false;
};

// One request, from its head to its answer.
struct Exchange {
  RequestHead head;
  HttpRequest request;
  std::size_t claimed = 0;  // bytes of body, booked with the daemon
  std::optional<HttpAnswer> answer;
  bool is_ordered = false;
};

MHD_Result add_header(void* head, MHD_ValueKind, const char* name, const char* value) {
  static_cast<RequestHead*>(head)->headers.emplace_back(name, value ? value : "");
  return MHD_YES;
}

MHD_Result add_argument(void* query, MHD_ValueKind, const char* name, const char* value) {
  (*static_cast<std::map<std::string, std::string>*>(query))[name] = value ? value : "";
  return MHD_YES;
}

HttpAnswer fault(const std::exception& error) {
  return refusal(500, std::string("a fault of the program: ") + error.what());
}

}  // namespace

class HttpServer::Daemon {
 public:
  Daemon(HttpSite site, int port, HttpLimits limits)
      : site_(std::move(site)),
        limits_(limits),
        porch_(port),
        doorway_{porch_.port(), new_token()} {
    daemon_ = MHD_start_daemon(
        MHD_USE_AUTO_INTERNAL_THREAD | MHD_ALLOW_SUSPEND_RESUME | MHD_USE_NO_LISTEN_SOCKET, 0,
        nullptr, nullptr, &serve, this, MHD_OPTION_CONNECTION_MEMORY_LIMIT, kConnectionBytes,
        MHD_OPTION_CONNECTION_LIMIT, kMostConnections, MHD_OPTION_CONNECTION_TIMEOUT, kIdle_s,
        MHD_OPTION_STRICT_FOR_CLIENT, 1, MHD_OPTION_NOTIFY_COMPLETED, &completed, this,
        MHD_OPTION_NOTIFY_CONNECTION, &connected, this, MHD_OPTION_URI_LOG_CALLBACK, &addressed,
        this, MHD_OPTION_END);
    if (!daemon_) throw std::system_error(errno, std::generic_category(), "cannot start a server");
    beater_ = std::thread([this] { beat(); });
    porch_.open(limits_.longest_request, [this](int visitor) {
      sockaddr from{};
      from.sa_family = AF_INET;
      MHD_add_connection(daemon_, visitor, &from, sizeof from);
    });
  }

  ~Daemon() { stop(); }

  void stop() {
    if (!beater_.joinable()) return;
    {
      const std::lock_guard lock(mutex_);
      stopping_ = true;
    }
    wake_.notify_all();
    beater_.join();
    porch_.stop();
    looks_.stop();
    changes_.stop();
    streams_.close();
    MHD_stop_daemon(daemon_);
  }
  Daemon(const Daemon&) = delete;
  Daemon& operator=(const Daemon&) = delete;

  const Doorway& doorway() const { return doorway_; }
  HttpStreams& streams() { return streams_; }

 private:
  // ---- what the library calls

  static void* addressed(void* self, const char* uri, MHD_Connection* connection) {
    auto& daemon = *static_cast<Daemon*>(self);
    const std::lock_guard lock(daemon.mutex_);
    const std::string_view all = uri;
    daemon.waiting_[connection].path = all.substr(0, all.find('?'));
    return nullptr;
  }

  static MHD_Result serve(void* self, MHD_Connection* connection, const char*, const char* method,
                          const char*, const char* data, std::size_t* size, void** exchange) {
    auto& daemon = *static_cast<Daemon*>(self);
    if (!*exchange) return daemon.begin(connection, method, exchange);
    auto& current = *static_cast<Exchange*>(*exchange);
    if (*size > 0) return daemon.take(current, data, *size);
    return daemon.finish(connection, current);
  }

  static void completed(void* self, MHD_Connection* connection, void** exchange,
                        MHD_RequestTerminationCode) {
    const std::unique_ptr<Exchange> ended(static_cast<Exchange*>(*exchange));
    *exchange = nullptr;
    auto& daemon = *static_cast<Daemon*>(self);
    if (ended) daemon.bodies_bytes_ -= ended->claimed;
    daemon.mark(connection, false);
  }

  static void connected(void* self, MHD_Connection* connection, void** context,
                        MHD_ConnectionNotificationCode what) {
    auto& daemon = *static_cast<Daemon*>(self);
    const std::lock_guard lock(daemon.mutex_);
    if (what == MHD_CONNECTION_NOTIFY_STARTED) {
      const auto* info = MHD_get_connection_info(connection, MHD_CONNECTION_INFO_CONNECTION_FD);
      daemon.waiting_[connection].socket = info->connect_fd;
      *context = connection;
    } else {
      daemon.waiting_.erase(connection);
    }
  }

  // ---- a request's way

  std::string path_of(MHD_Connection* connection) {
    const std::lock_guard lock(mutex_);
    return waiting_[connection].path;
  }

  MHD_Result begin(MHD_Connection* connection, const char* method, void** out) {
    auto exchange = std::make_unique<Exchange>();
    exchange->head.method = method;
    exchange->head.path = path_of(connection);
    MHD_get_connection_values(connection, MHD_HEADER_KIND, &add_header, &exchange->head);
    MHD_get_connection_values(connection, MHD_GET_ARGUMENT_KIND, &add_argument,
                              &exchange->request.query);
    std::optional<HttpAnswer> refused = refused_at(doorway_, exchange->head);
    const std::size_t bytes = body_bytes(exchange->head);
    if (!refused && bodies_bytes_ + bytes > kMostBodiesBytes)
      refused = refusal(503, "busy with other files; try again");
    if (refused) return reply(connection, *refused);
    bodies_bytes_ += exchange->claimed = bytes;
    *out = exchange.release();
    return MHD_YES;
  }

  MHD_Result take(Exchange& exchange, const char* data, std::size_t& size) {
    if (exchange.request.body.size() + size > exchange.claimed) return MHD_NO;
    exchange.request.body.append(data, size);
    size = 0;
    return MHD_YES;
  }

  MHD_Result finish(MHD_Connection* connection, Exchange& exchange) {
    mark(connection, true);
    if (exchange.answer) return reply(connection, *exchange.answer);
    if (exchange.is_ordered) return MHD_NO;
    const std::string& path = exchange.head.path;
    if (!path.starts_with(kApi)) return reply_file(connection, path);
    exchange.request.path = path.substr(kApi.size());
    if (exchange.request.path == "events") return reply_stream(connection);
    return order(connection, exchange);
  }

  MHD_Result order(MHD_Connection* connection, Exchange& exchange) {
    const bool is_change = exchange.head.method == "POST";
    const auto& work = is_change ? site_.change : site_.answer;
    exchange.is_ordered = true;
    MHD_suspend_connection(connection);
    const bool taken = (is_change ? changes_ : looks_).ask([connection, &exchange, &work] {
      try {
        exchange.answer = work(exchange.request);
      } catch (const std::exception& error) {
        exchange.answer = fault(error);
      }
      MHD_resume_connection(connection);
    });
    if (!taken) {
      exchange.answer = refusal(503, "busy; try again");
      MHD_resume_connection(connection);
    }
    return MHD_YES;
  }

  MHD_Result reply_file(MHD_Connection* connection, const std::string& path) {
    for (const PageFile& file : site_.files) {
      if (file.path == path)
        return reply(connection, {200, std::string(file.type), std::string(file.bytes)});
    }
    return reply(connection, refusal(404, "there is nothing here"));
  }

  MHD_Result reply_stream(MHD_Connection* connection) {
    MHD_Response* response = streams_.open(connection, site_.greeting);
    if (!response) return MHD_NO;
    MHD_add_response_header(response, "Content-Type", "text/event-stream");
    return send(connection, 200, response);
  }

  static MHD_Result reply(MHD_Connection* connection, const HttpAnswer& answer) {
    std::string bytes = answer.body;
    MHD_Response* response =
        MHD_create_response_from_buffer(bytes.size(), bytes.data(), MHD_RESPMEM_MUST_COPY);
    if (!response) return MHD_NO;
    MHD_add_response_header(response, "Content-Type", answer.type.c_str());
    if (!answer.caption.empty())
      MHD_add_response_header(response, kCaptionHeader, answer.caption.c_str());
    if (!answer.file_name.empty()) {
      const std::string how = "attachment; filename=\"" + answer.file_name + "\"";
      MHD_add_response_header(response, "Content-Disposition", how.c_str());
    }
    return send(connection, static_cast<unsigned>(answer.status), response);
  }

  static MHD_Result send(MHD_Connection* connection, unsigned status, MHD_Response* response) {
    for (const auto& [name, value] : kHeaders) MHD_add_response_header(response, name, value);
    const MHD_Result queued = MHD_queue_response(connection, status, response);
    MHD_destroy_response(response);
    return queued;
  }

  // ---- slow clients

  void mark(MHD_Connection* connection, bool is_served) {
    const std::lock_guard lock(mutex_);
    const auto found = waiting_.find(connection);
    if (found == waiting_.end()) return;
    found->second.is_served = is_served;
    found->second.since = Clock::now();
  }

  void beat() {
    std::unique_lock lock(mutex_);
    while (!wake_.wait_for(lock, limits_.beat, [this] { return stopping_; })) {
      for (const auto& [connection, waiting] : waiting_) {
        if (!waiting.is_served && Clock::now() - waiting.since > limits_.longest_request)
          shutdown(waiting.socket, SHUT_RDWR);
      }
      lock.unlock();
      streams_.beat();
      lock.lock();
    }
  }

  HttpSite site_;
  HttpLimits limits_;
  HttpPorch porch_;
  Doorway doorway_;
  HttpStreams streams_;
  Clerk looks_{kMostOrders};
  Clerk changes_{kMostOrders};
  std::atomic<std::size_t> bodies_bytes_ = 0;
  std::mutex mutex_;
  std::condition_variable wake_;
  std::map<MHD_Connection*, Waiting> waiting_;
  bool stopping_ = false;
  std::thread beater_;
  MHD_Daemon* daemon_ = nullptr;
};

HttpServer::HttpServer(HttpSite site, int port, HttpLimits limits)
    : daemon_(std::make_unique<Daemon>(std::move(site), port, limits)) {}

HttpServer::~HttpServer() = default;

void HttpServer::stop() { daemon_->stop(); }

int HttpServer::port() const { return daemon_->doorway().port; }

std::string HttpServer::address() const {
  const Doorway& doorway = daemon_->doorway();
  return "http://127.0.0.1:" + std::to_string(doorway.port) + "/#" + doorway.token;
}

void HttpServer::publish(const std::string& kind, const std::string& data) {
  daemon_->streams().publish(kind, data);
}

}  // namespace rimeglow
