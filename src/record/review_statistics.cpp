#include "heatrow/record/review_statistics.hpp"

#include <cmath>
#include <map>

namespace heatrow {
namespace {

void count(AgreementRow& row, const Decision& decision) {
    ++row.findings;
    switch (decision.verdict) {
        case Verdict::open:
            ++row.open;
            break;
        case Verdict::confirmed:
            ++(decision.pattern ? row.relabelled : row.confirmed);
            break;
        case Verdict::rejected:
            ++row.rejected;
            break;
    }
}

void conclude(AgreementRow& row) {
    row.agreement = wilson_share(row.confirmed, row.findings - row.open);
}

}  // namespace

Share wilson_share(int successes, int count) {
    if (count == 0) {
        return {};
    }
    constexpr double z = 1.959963985;  // 97.5 % quantile of the normal distribution
    const double n = count;
    const double share = successes / n;
    const double middle = (share + z * z / (2.0 * n)) / (1.0 + z * z / n);
    const double half = z / (1.0 + z * z / n) * std::sqrt(share * (1.0 - share) / n + z * z / (4.0 * n * n));
    return {successes, count, share, std::fmax(0.0, middle - half), std::fmin(1.0, middle + half)};
}

Agreement agreement_of(const SurveyRecord& record) {
    std::map<Pattern, AgreementRow> rows;
    Agreement agreement;
    for (const Finding& finding : record.findings) {
        const ReviewEntry* last = last_review(record, finding.id);
        const Decision decision = last == nullptr ? Decision{} : last->after;
        const Pattern pattern = pattern_as_found(record, finding);
        AgreementRow& row = rows[pattern];
        row.pattern = pattern;
        count(row, decision);
        count(agreement.all, decision);
    }
    for (auto& [pattern, row] : rows) {
        conclude(row);
        agreement.rows.push_back(row);
    }
    conclude(agreement.all);
    return agreement;
}

}  // namespace heatrow
