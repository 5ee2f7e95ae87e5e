#include "child.h"

#include <array>
#include <cerrno>
#include <csignal>
#include <cstdint>
#include <cstdlib>
#include <cstring>
#include <fstream>
#include <new>
#include <string_view>
#include <system_error>

#include <fcntl.h>
#include <poll.h>
#include <sys/prctl.h>
#include <sys/resource.h>
#include <sys/wait.h>
#include <unistd.h>

namespace rimeglow {
namespace {

using Clock = std::chrono::steady_clock;

constexpr int kOutOfMemory = 3;  // exit codes of the child
constexpr int kUnexpected = 4;

std::string megabytes(std::size_t bytes) { return std::to_string(bytes / 1'000'000) + " MB"; }

// ---- in the child ----

void limit(__rlimit_resource what, rlim_t most) {
  rlimit to{};
  if (getrlimit(what, &to) != 0) _exit(kUnexpected);
  if (to.rlim_max == RLIM_INFINITY || most < to.rlim_max) to.rlim_max = most;
  to.rlim_cur = to.rlim_max;
  if (setrlimit(what, &to) != 0) _exit(kUnexpected);
}

// Address space taken so far: sanitizers alone reserve terabytes of it.
rlim_t address_space() {
  rlim_t pages = 0;
  std::ifstream("/proc/self/statm") >> pages;
  return pages * static_cast<rlim_t>(sysconf(_SC_PAGESIZE));
}

void set_limits(const ChildLimits& limits) {
  limit(RLIMIT_AS, address_space() + limits.memory_bytes);
  limit(RLIMIT_CPU, limits.processor_s);
  limit(RLIMIT_FSIZE, 0);
  limit(RLIMIT_CORE, 0);
  std::signal(SIGXFSZ, SIG_IGN);
}

// Only the pipe stays open, and nothing is said on the parent's terminal.
int leave_world(int pipe_end) {
  const int answer = fcntl(pipe_end, F_DUPFD, 3);
  const int nowhere = open("/dev/null", O_RDWR);
  for (const int stream : {STDIN_FILENO, STDOUT_FILENO, STDERR_FILENO}) dup2(nowhere, stream);
  if (answer < 0 || nowhere < 0 || dup2(answer, 3) != 3) _exit(kUnexpected);
  close_range(4, ~0U, 0);
  return 3;
}

bool write_all(int to, std::string_view bytes) {
  while (!bytes.empty()) {
    const ssize_t written = write(to, bytes.data(), bytes.size());
    if (written < 0 && errno == EINTR) continue;
    if (written < 0) return false;
    bytes.remove_prefix(static_cast<std::size_t>(written));
  }
  return true;
}

// A length behind the answer tells a whole one from one that was cut off.
std::string length_mark(std::size_t length) {
  const std::uint64_t value = length;
  std::string mark(sizeof value, '\0');
  std::memcpy(mark.data(), &value, sizeof value);
  return mark;
}

[[noreturn]] void live(const std::function<std::string()>& work, const ChildLimits& limits,
                       int pipe_end, pid_t parent) {
  prctl(PR_SET_PDEATHSIG, SIGKILL);
  if (getppid() != parent) _exit(kUnexpected);
  for (const int number : {SIGINT, SIGTERM, SIGPIPE}) std::signal(number, SIG_DFL);
  const int to = leave_world(pipe_end);
  setenv("RAYON_NUM_THREADS", "1", 1);  // librsvg's helpers would share out the memory
  set_limits(limits);
  try {
    const std::string answer = work();
    _exit(write_all(to, answer) && write_all(to, length_mark(answer.size())) ? 0 : kUnexpected);
  } catch (const std::bad_alloc&) {
    _exit(kOutOfMemory);
  } catch (...) {
    _exit(kUnexpected);
  }
}

// ---- in the parent ----

// Ends and buries the child whatever happens.
class Child {
 public:
  Child(pid_t process, int answers) : process_(process), answers_(answers) {}
  ~Child() {
    if (process_ > 0) {
      kill(process_, SIGKILL);
      wait();
    }
    close(answers_);
  }
  Child(const Child&) = delete;
  Child& operator=(const Child&) = delete;

  // All that the child says, until it ends; nothing when time or room runs out first.
  std::optional<std::string> hear(Clock::time_point end, std::size_t most_bytes) {
    std::string heard;
    std::array<char, 1 << 16> block;
    for (;;) {
      const auto left = std::chrono::ceil<std::chrono::milliseconds>(end - Clock::now()).count();
      if (left <= 0 || heard.size() > most_bytes) return std::nullopt;
      pollfd waiting{answers_, POLLIN, 0};
      if (poll(&waiting, 1, static_cast<int>(left)) <= 0) continue;
      const ssize_t count = read(answers_, block.data(), block.size());
      if (count == 0) return heard;
      if (count > 0) heard.append(block.data(), static_cast<std::size_t>(count));
      if (count < 0 && errno != EINTR)
        throw std::system_error(errno, std::generic_category(), "cannot hear a process");
    }
  }

  // How it ended, as waitpid has it; 0 when someone else was told.
  int wait() {
    int status = 0;
    while (waitpid(process_, &status, 0) < 0 && errno == EINTR) {
    }
    process_ = -1;
    return status;
  }

 private:
  pid_t process_;
  int answers_;
};

std::string failure_of(int status, const ChildLimits& limits) {
  if (WIFSIGNALED(status) && (WTERMSIG(status) == SIGXCPU || WTERMSIG(status) == SIGKILL))
    return "it took more than " + std::to_string(limits.processor_s) + " s of processor time";
  if (WIFEXITED(status) && WEXITSTATUS(status) == kOutOfMemory)
    return "it took more than " + megabytes(limits.memory_bytes) + " of memory";
  const std::string how = WIFSIGNALED(status) ? strsignal(WTERMSIG(status)) : "no answer";
  return "the library that reads it gave up (" + how + "), perhaps for want of memory beyond " +
         megabytes(limits.memory_bytes);
}

bool is_whole(const std::string& heard) {
  const std::size_t mark = length_mark(0).size();
  return heard.size() >= mark && heard.ends_with(length_mark(heard.size() - mark));
}

}  // namespace

ChildAnswer run_in_child(const std::function<std::string()>& work, const ChildLimits& limits) {
  const Clock::time_point end = Clock::now() + limits.wall;
  std::array<int, 2> ends{};
  if (pipe2(ends.data(), O_CLOEXEC) != 0)
    throw std::system_error(errno, std::generic_category(), "cannot make a pipe");
  const pid_t parent = getpid();
  const pid_t process = fork();
  if (process == 0) live(work, limits, ends[1], parent);
  const int why = errno;
  close(ends[1]);
  if (process < 0) {
    close(ends[0]);
    throw std::system_error(why, std::generic_category(), "cannot start a process");
  }
  Child child(process, ends[0]);
  std::optional<std::string> heard = child.hear(end, limits.answer_bytes + length_mark(0).size());
  if (!heard && Clock::now() >= end)
    return {std::nullopt, "it took more than " + std::to_string(limits.wall.count() / 1000) + " s"};
  if (!heard) return {std::nullopt, "it grew to more than " + megabytes(limits.answer_bytes)};
  const int status = child.wait();
  if (!is_whole(*heard)) return {std::nullopt, failure_of(status, limits)};
  heard->resize(heard->size() - length_mark(0).size());
  return {std::move(heard), {}};
}

}  // namespace rimeglow
