// The tests in C++. Where no case passes the filter, that is a mistake and no success.
#define DOCTEST_CONFIG_IMPLEMENT
#include <doctest/doctest.h>

#include <cstdio>

namespace {

struct CasesCounted : doctest::IReporter {
    static inline unsigned cases = 0;
    explicit CasesCounted(const doctest::ContextOptions&) {}
    void test_run_end(const doctest::TestRunStats& run) override { cases = run.numTestCasesPassingFilters; }
    void report_query(const doctest::QueryData&) override { cases = 1; }
    void test_run_start() override {}
    void test_case_start(const doctest::TestCaseData&) override {}
    void test_case_reenter(const doctest::TestCaseData&) override {}
    void test_case_end(const doctest::CurrentTestCaseStats&) override {}
    void test_case_exception(const doctest::TestCaseException&) override {}
    void subcase_start(const doctest::SubcaseSignature&) override {}
    void subcase_end() override {}
    void log_assert(const doctest::AssertData&) override {}
    void log_message(const doctest::MessageData&) override {}
    void test_case_skipped(const doctest::TestCaseData&) override {}
};
DOCTEST_REGISTER_LISTENER("cases-counted", 1, CasesCounted);

}  // namespace

int main(int argc, char** argv) {
    doctest::Context context(argc, argv);
    const int code = context.run();
    if (CasesCounted::cases != 0 || context.shouldExit()) return code;
    std::fputs("no test case passes this filter\n", stderr);
    return 1;
}
