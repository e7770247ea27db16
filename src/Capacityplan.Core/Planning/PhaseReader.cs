using System.Collections.Immutable;
using Capacityplan.Core.Jobs;
using Capacityplan.Core.Reading;
using static System.Math;

namespace Capacityplan.Core.Planning;

/// <summary>Reads a job's phases; a blank that is missing or impossible is a problem at its path, such as "Phases[1].Units".</summary>
internal static class PhaseReader
{
    /// <summary>Reads the phases.</summary>
    /// <param name="drafts">The phases as typed.</param>
    /// <param name="blanks">Receives what cannot be understood.</param>
    /// <returns>The job; null where there is no phase, or one with a problem.</returns>
    public static JobStructure? Read(ImmutableArray<PhaseDraft> drafts, BlankReader blanks)
    {
        if (drafts.Length > PhaseLimits.MostPhases)
        {
            blanks.Add(nameof(PlanDraft.Phases), $"There are {drafts.Length} phases; {PhaseLimits.MostPhases} are the most. Put some together.");
            return null;
        }

        Phase[] phases = [.. drafts.Select((draft, index) => new PhaseBlanks(draft, index, blanks).Read()).OfType<Phase>()];
        if (phases.Length < drafts.Length || phases.Length == 0)
            return null;
        double work = phases.Sum(phase => phase.WorkSeconds);
        if (work > 0 && work <= PhaseLimits.MostWorkSeconds)
            return new JobStructure(phases);
        blanks.Add(
            nameof(PlanDraft.Phases),
            work > 0
                ? $"The phases add up to {Figures.Time(work)} on one core; {Figures.Time(PhaseLimits.MostWorkSeconds)} is the most that is worked out."
                : "The phases take no time: give at least one a length above 0.");
        return null;
    }

    /// <summary>The blanks of one phase.</summary>
    private readonly struct PhaseBlanks(PhaseDraft draft, int index, BlankReader blanks)
    {
        private string Name => string.IsNullOrWhiteSpace(draft.Name) ? $"phase {index + 1}" : draft.Name.Trim();

        public Phase? Read()
        {
            if (draft.IsParallel)
                return Parallel();
            return Required(nameof(PhaseDraft.Seconds), draft.Seconds, "how long does it take", "4.2 min", 0) is { } seconds
                ? new SerialPhase(Name, seconds)
                : null;
        }

        private ParallelPhase? Parallel()
        {
            string unitsPath = Path(nameof(PhaseDraft.Units));
            long? units = blanks.Count(unitsPath, draft.Units, 1, PhaseLimits.MostUnits);
            if (units is null && !blanks.Has(unitsPath))
                Missing(unitsPath, "how many units", "48,000");
            TaskSizes? sizes = Sizes();
            long grain = blanks.Count(Path(nameof(PhaseDraft.Grain)), draft.Grain, 1, PhaseLimits.MostUnits) ?? 1;
            SchedulingCosts? costs = Costs();
            double? bytes = blanks.Bytes(Path(nameof(PhaseDraft.BytesPerUnit)), draft.BytesPerUnit, PhaseLimits.MostBytes);
            return units is { } count && sizes is not null && costs is not null && !blanks.HasInside($"Phases[{index}]")
                ? new ParallelPhase(Name, count, sizes, grain, costs, bytes ?? 0)
                : null;
        }

        private TaskSizes? Sizes() => draft.Sizes switch
        {
            UnitDistribution.Constant => Required(nameof(PhaseDraft.EachTakes), draft.EachTakes, "how long does each unit take", "290 ms") is { } each
                ? new ConstantSizes(each)
                : null,
            UnitDistribution.Uniform => Ends(0) is var (from, to) ? new UniformSizes(from, to) : null,
            UnitDistribution.Exponential => MeanOfUnits() is { } mean ? new ExponentialSizes(mean) : null,
            UnitDistribution.Gamma => Gamma(),
            UnitDistribution.Lognormal => Lognormal(),
            UnitDistribution.BoundedPareto => BoundedPareto(),
            UnitDistribution.Sample => Sample(),
            _ => null,
        };

        private double? MeanOfUnits() => Required(nameof(PhaseDraft.Mean), draft.Mean, "how long does a unit take on average", "290 ms");

        private GammaSizes? Gamma()
        {
            double? mean = MeanOfUnits();
            double? deviation = Required(nameof(PhaseDraft.StandardDeviation), draft.StandardDeviation, "how far do its units scatter", "150 ms");
            if (mean is not { } average || deviation is not { } scatter)
                return null;
            double shape = average / scatter * (average / scatter);
            if (shape is >= PhaseLimits.LeastShape and <= PhaseLimits.MostShape)
                return new GammaSizes(shape, average / shape);
            blanks.Add(
                Path(nameof(PhaseDraft.StandardDeviation)),
                shape > PhaseLimits.MostShape
                    ? $"A scatter of {Figures.Time(scatter)} about {Figures.Time(average)} is next to none: choose \"constant\" instead."
                    : $"A scatter of {Figures.Time(scatter)} is more than 100 times the mean of {Figures.Time(average)}: choose \"bounded Pareto\" instead.");
            return null;
        }

        private LognormalSizes? Lognormal()
        {
            double? median = Required(nameof(PhaseDraft.Median), draft.Median, "what does half of its units take less than", "250 ms");
            double? within = Required(nameof(PhaseDraft.NearlyAllWithin), draft.NearlyAllWithin, "what do 95 % of its units take less than", "700 ms");
            if (median is not { } half || within is not { } most)
                return null;
            double sigma = Log(most / half) / StatedSizes.NormalQuantile95;
            if (sigma is >= PhaseLimits.LeastSigma and <= PhaseLimits.MostSigma)
                return new LognormalSizes(Log(half), sigma);
            blanks.Add(
                Path(nameof(PhaseDraft.NearlyAllWithin)),
                sigma < PhaseLimits.LeastSigma
                    ? $"{Figures.Time(most)} has to be longer than the median, {Figures.Time(half)}: 95 % of the units take less than it."
                    : $"{Figures.Time(most)} is too far above the median, {Figures.Time(half)}: choose \"bounded Pareto\" instead.");
            return null;
        }

        private BoundedParetoSizes? BoundedPareto()
        {
            var ends = Ends(PhaseLimits.LeastSeconds);
            string path = Path(nameof(PhaseDraft.Alpha));
            double? alpha = blanks.Number(path, draft.Alpha, PhaseLimits.LeastAlpha, PhaseLimits.MostAlpha);
            if (alpha is null && !blanks.Has(path))
                Missing(path, "how heavy is the tail", "1.5");
            return alpha is { } tail && ends is var (from, to) ? new BoundedParetoSizes(tail, from, to) : null;
        }

        /// <summary>The sample; what was left out of it is told with its place in the text, and only what has to be put right stops the reading.</summary>
        private SampleSizes? Sample()
        {
            string path = Path(nameof(PhaseDraft.SampleText));
            if (string.IsNullOrWhiteSpace(draft.SampleText))
            {
                Missing(path, "how long did its units take", "290 ms, one to a line");
                return null;
            }

            SampleReading reading = SampleReader.Read(draft.SampleText);
            blanks.Note(reading.Problems.Where(problem => problem.Severity != ProblemSeverity.Error).Select(problem => problem with { Path = path }));
            if (reading.Sizes is { } sizes && sizes.Values.Max() <= PhaseLimits.MostSeconds)
                return sizes;
            if (reading.Sizes is not null)
                blanks.Add(path, $"A duration of the sample is longer than {Figures.Time(PhaseLimits.MostSeconds)}, the most a unit may take.");
            else if (reading.Problems.FirstOrDefault(problem => problem.Severity == ProblemSeverity.Error) is { } error)
                blanks.Add(error with { Path = path });
            else
                blanks.Add(path, "No duration was found in the sample. Give one to a line, such as 290 ms.");
            return null;
        }

        private (double From, double To)? Ends(double least)
        {
            double? shortest = Required(nameof(PhaseDraft.Shortest), draft.Shortest, "how long does its shortest unit take", "50 ms", least);
            double? longest = Required(nameof(PhaseDraft.Longest), draft.Longest, "how long does its longest unit take", "900 ms");
            if (shortest is not { } from || longest is not { } to)
                return null;
            if (to > from)
                return (from, to);
            blanks.Add(Path(nameof(PhaseDraft.Longest)), $"The longest unit, {Figures.Time(to)}, has to take longer than the shortest, {Figures.Time(from)}.");
            return null;
        }

        private SchedulingCosts? Costs()
        {
            var usual = new SchedulingCosts();
            var parts = new Parts();
            var costs = new SchedulingCosts
            {
                ForkSeconds = parts.Take(Cost(nameof(PhaseDraft.Fork), draft.Fork, usual.ForkSeconds)),
                JoinSeconds = parts.Take(Cost(nameof(PhaseDraft.Join), draft.Join, usual.JoinSeconds)),
                CombineSecondsPerUnit = parts.Take(Cost(nameof(PhaseDraft.CombinePerUnit), draft.CombinePerUnit, usual.CombineSecondsPerUnit)),
                StealAttemptSeconds = parts.Take(Cost(nameof(PhaseDraft.StealAttempt), draft.StealAttempt, usual.StealAttemptSeconds, PhaseLimits.LeastTrySeconds)),
                StealSeconds = parts.Take(Cost(nameof(PhaseDraft.Steal), draft.Steal, usual.StealSeconds)),
                WakeSeconds = parts.Take(Cost(nameof(PhaseDraft.Wake), draft.Wake, usual.WakeSeconds)),
                RefillSecondsPerUnit = parts.Take(Cost(nameof(PhaseDraft.RefillPerUnit), draft.RefillPerUnit, usual.RefillSecondsPerUnit)),
                RefillUnits = RefillUnits() ?? usual.RefillUnits,
            };
            if (costs.RefillSecondsPerUnit > 0 && string.IsNullOrWhiteSpace(draft.RefillUnits))
                Missing(Path(nameof(PhaseDraft.RefillUnits)), "how many units fill a cache", "4,096");
            return parts.AreWhole ? costs : null;
        }

        private long? RefillUnits() => blanks.Count(Path(nameof(PhaseDraft.RefillUnits)), draft.RefillUnits, 0, PhaseLimits.MostUnits);

        /// <summary>A cost; the usual one where its blank is empty, null where it cannot be understood.</summary>
        private double? Cost(string field, string text, double usual, double least = 0)
        {
            string path = Path(field);
            return blanks.Duration(path, text, least, PhaseLimits.MostCostSeconds) ?? (blanks.Has(path) ? null : usual);
        }

        private double? Required(string field, string text, string question, string example, double least = PhaseLimits.LeastSeconds)
        {
            string path = Path(field);
            double? seconds = blanks.Duration(path, text, least, PhaseLimits.MostSeconds);
            if (seconds is null && !blanks.Has(path))
                Missing(path, question, example);
            return seconds;
        }

        private void Missing(string path, string question, string example) =>
            blanks.Add(path, $"{char.ToUpperInvariant(Name[0])}{Name[1..]}: {question}? Type it here, such as {example}.");

        private string Path(string field) => $"{nameof(PlanDraft.Phases)}[{index}].{field}";
    }
}
