// Runs a comparison: parts that findings name, parts found by searching, their histories, what each step shows.
#pragma once

#include "heatrow/compare/changes.hpp"
#include "site_parts.hpp"
#include "step.hpp"

#include <cstddef>
#include <map>
#include <span>
#include <string>
#include <vector>

namespace heatrow::detail {

inline std::size_t at(int index) {
    return static_cast<std::size_t>(index);
}

inline std::size_t at(PartLevel level) {
    return static_cast<std::size_t>(level);
}

// A part with what its histories are built from.
struct Candidate {
    SitePart part;
    std::vector<int> findings;
    Exponent exponent;
    std::vector<PartValue> values;  // one a survey
};

class Comparer {
  public:
    Comparer(std::span<const SurveyRecord* const> surveys,
             const std::vector<std::string>& names,
             const ComparisonProfile& profile);
    Comparison run();

  private:
    void add_candidate(SitePart part, std::vector<int> findings);
    void list_steps();
    [[nodiscard]] bool in_both(const SiteModule& module, const StepSummary& step) const;
    [[nodiscard]] bool is_compared(const SiteModule& module, const StepSummary& step) const;
    void measure_step(StepSummary& step);
    [[nodiscard]] double u_of(const PartValue& from,
                              const PartValue& to,
                              const Candidate& candidate,
                              const StepSummary& step) const;
    [[nodiscard]] double least_k(PartLevel level) const;

    // Parts that no finding names.

    // A part named by a finding, a neighbour that a named cell's blur and heat reach, or a cell in series with it,
    // whose current it holds back (docs/scoring.md, step 7).
    [[nodiscard]] bool is_taken(const SitePart& part, const ModuleType* type) const;
    // All parts of a module, or a string, that no finding names, one by one.
    [[nodiscard]] std::vector<SitePart> parts_to_search(int module) const;
    // Changes that no finding names. Their probability is that of any part of the module to show as much by chance
    // (Sidak, J. Am. Stat. Assoc. 62 (1967) 626-633).
    void search(StepSummary& step, std::size_t s);
    void search_parts(const std::vector<SitePart>& parts, const StepSummary& step, std::size_t s);
    void add_searched(const SitePart& part, std::size_t count);

    // Histories and changes of parts.

    void build_histories();
    [[nodiscard]] PartSeason season_of(const Candidate& candidate, std::size_t survey) const;
    [[nodiscard]] const Finding* finding_of(const PartHistory& history, int survey) const;
    [[nodiscard]] PartChange change_of(const Candidate& candidate,
                                       const PartHistory& history,
                                       const StepSummary& step,
                                       std::size_t searched) const;
    // A hot cell that has become part of a bypassed substring, or the other way round, is one thing under another name.
    void name_wider_parts(PartHistory& history);
    [[nodiscard]] Trend trend_of(const PartHistory& history) const;
    // Gravest first, then the largest change of the last step, then by place.
    void sort_parts();

    // What a step shows as a whole.

    void finish_step(std::size_t s);
    // Of parts without a finding: every module, its substrings, its warmest cell, and the strings.
    void set_detectable(StepSummary& step) const;
    // Benjamini & Hochberg, J. R. Stat. Soc. B 57 (1995) 289-300, over all parts with a finding and, once each, all
    // modules and strings that were searched.
    void set_false_discovery(std::size_t s);
    void add_notes();

    std::span<const SurveyRecord* const> surveys_;
    const ComparisonProfile& profile_;
    Comparison result_;
    const SiteSurveys* all_ = nullptr;
    std::vector<Candidate> candidates_;  // those with findings first
    std::size_t named_ = 0;
    std::map<int, std::vector<std::size_t>> named_on_;  // by site module, -1 for strings
    std::vector<std::size_t> search_counts_;            // of the other candidates: parts searched along with it
    std::vector<std::vector<double>> searched_p_;       // by step, one a module or string
    std::vector<int> left_out_;
};

// That any of `count` independent parts shows what one shows by chance with p.
double of_any(double p, std::size_t count);

}  // namespace heatrow::detail
