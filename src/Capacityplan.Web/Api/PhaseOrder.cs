using Capacityplan.Core.Jobs;
using Capacityplan.Core.Planning;

namespace Capacityplan.Web.Api;

/// <summary>Puts the phases of a request in the calculation's terms, and points at what keeps it from doing so.</summary>
internal static class PhaseOrder
{
    private const string SerialKind = "serial", ParallelKind = "parallel";

    /// <summary>The job that phases make.</summary>
    /// <param name="request">The phases.</param>
    /// <param name="path">Where they stand in the request.</param>
    /// <param name="findings">Holds what is wrong with single fields, receives the rest.</param>
    /// <returns>The job; null where <paramref name="findings"/> holds an error about it.</returns>
    public static JobStructure? StructureOf(StructureRequest request, string path, RequestFindings findings)
    {
        var phases = new List<Phase>();
        string list = path + ".phases";
        for (int index = 0; index < (request.Phases?.Count ?? 0); index++)
        {
            if (request.Phases![index] is { } phase && PhaseOf(phase, FormattableString.Invariant($"{list}[{index}]"), index, findings) is { } read)
                phases.Add(read);
        }

        return findings.Concern(path) ? null : JobOf(phases, list, findings);
    }

    /// <summary>The job that one parallel phase makes.</summary>
    public static JobStructure? ParallelJobOf(PhaseRequest phase, string path, RequestFindings findings)
    {
        if (phase.Kind == SerialKind)
            findings.Error(path + ".kind", "A serial phase takes the same on any pool; only a parallel one is simulated.");
        else if (PhaseOf(phase, path, 0, findings) is { } read)
            return JobOf([read], path, findings);
        return null;
    }

    private static JobStructure? JobOf(IReadOnlyCollection<Phase> phases, string path, RequestFindings findings)
    {
        double work = phases.Sum(phase => phase.WorkSeconds);
        if (work > 0 && work <= PhaseLimits.MostWorkSeconds)
            return new JobStructure(phases);
        findings.Error(path, work > 0
            ? FormattableString.Invariant($"It adds up to {work:0.###e+0} s of work; {PhaseLimits.MostWorkSeconds:0.###e+0} s are the most.")
            : "It takes no time; at least one phase has to take more than 0 s.");
        return null;
    }

    private static Phase? PhaseOf(PhaseRequest phase, string path, int index, RequestFindings findings)
    {
        string name = string.IsNullOrWhiteSpace(phase.Name) ? FormattableString.Invariant($"phase {index + 1}") : phase.Name;
        switch (phase.Kind)
        {
            case SerialKind:
                Unused(phase.Units is not null, "units");
                Unused(phase.UnitSeconds is not null, "unitSeconds");
                return Needed(phase.Seconds, path, "seconds", "a serial phase has a length", findings) is { } seconds ? new SerialPhase(name, seconds) : null;
            case ParallelKind:
                Unused(phase.Seconds is not null, "seconds");
                long? units = Needed(phase.Units, path, "units", "a parallel phase has units", findings);
                TaskSizes? sizes = null;
                if (phase.UnitSeconds is { } described)
                    sizes = SizesOf(described, path + ".unitSeconds", findings);
                else if (!findings.Concern(path + ".unitSeconds"))
                    findings.Error(path + ".unitSeconds", "It is missing; say how long a unit takes.");
                // A list kept its place for what is refused in it; the phase is worth nothing then.
                return units is { } count && sizes is not null && !findings.Concern(path)
                    ? new ParallelPhase(name, count, sizes, phase.Grain ?? 1, CostsOf(phase), phase.BytesPerUnit ?? 0)
                    : null;
            case null:
                return null;
            default:
                findings.Error(path + ".kind", "It is not a kind of phase; \"serial\" and \"parallel\" are.");
                return null;
        }

        void Unused(bool given, string field)
        {
            if (given)
                findings.Warn($"{path}.{field}", $"A {phase.Kind} phase has no use for it; it was left out.");
        }
    }

    private static SchedulingCosts CostsOf(PhaseRequest phase)
    {
        var usual = new SchedulingCosts();
        return new SchedulingCosts
        {
            ForkSeconds = phase.ForkSeconds ?? usual.ForkSeconds,
            JoinSeconds = phase.JoinSeconds ?? usual.JoinSeconds,
            CombineSecondsPerUnit = phase.CombineSecondsPerUnit ?? usual.CombineSecondsPerUnit,
            StealAttemptSeconds = phase.StealAttemptSeconds ?? usual.StealAttemptSeconds,
            StealSeconds = phase.StealSeconds ?? usual.StealSeconds,
            WakeSeconds = phase.WakeSeconds ?? usual.WakeSeconds,
            RefillSecondsPerUnit = phase.RefillSecondsPerUnit ?? usual.RefillSecondsPerUnit,
            RefillUnits = phase.RefillUnits ?? usual.RefillUnits,
        };
    }

    private static TaskSizes? SizesOf(UnitSecondsRequest sizes, string path, RequestFindings findings)
    {
        double? Own(double? value, string field) => Needed(value, path, field, $"the distribution \"{sizes.Distribution}\" needs it", findings);
        WarnOfOthers(sizes, path, findings);
        switch (sizes.Distribution)
        {
            case "constant":
                return Own(sizes.Value, "value") is { } value ? new ConstantSizes(value) : null;
            case "uniform":
                return Ends(sizes, path, 0, findings) is var (from, to) ? new UniformSizes(from, to) : null;
            case "exponential":
                return Own(sizes.Mean, "mean") is { } mean ? new ExponentialSizes(mean) : null;
            case "gamma":
                double? shape = Own(sizes.Shape, "shape"), scale = Own(sizes.Scale, "scale");
                return shape is { } k && scale is { } theta ? new GammaSizes(k, theta) : null;
            case "lognormal":
                double? mu = Own(sizes.Mu, "mu"), sigma = Own(sizes.Sigma, "sigma");
                return mu is { } centre && sigma is { } spread ? new LognormalSizes(centre, spread) : null;
            case "boundedPareto":
                double? alpha = Own(sizes.Alpha, "alpha");
                return Ends(sizes, path, PhaseLimits.LeastSeconds, findings) is var (least, most) && alpha is { } tail
                    ? new BoundedParetoSizes(tail, least, most)
                    : null;
            case "sample":
                return Sample(sizes, path + ".values", findings);
            case null:
                return null;
            default:
                findings.Error(
                    path + ".distribution",
                    "It is not a distribution served; \"constant\", \"uniform\", \"exponential\", \"gamma\", \"lognormal\", \"boundedPareto\" and \"sample\" are.");
                return null;
        }
    }

    private static SampleSizes? Sample(UnitSecondsRequest sizes, string path, RequestFindings findings)
    {
        if (findings.Concern(path))
            return null;
        if (sizes.Values is not { Count: > 0 } values)
            findings.Error(path, "It is missing; a sample has values.");
        else if (!values.Any(value => value > 0))
            findings.Error(path, "Every value is 0; at least one has to be above 0.");
        else
            return SampleSizes.Condense([.. values]);
        return null;
    }

    private static (double From, double To)? Ends(UnitSecondsRequest sizes, string path, double least, RequestFindings findings)
    {
        string needed = $"the distribution \"{sizes.Distribution}\" needs it";
        double? min = Needed(sizes.Min, path, "min", needed, findings), max = Needed(sizes.Max, path, "max", needed, findings);
        if (min is not { } from || max is not { } to)
            return null;
        if (from < least)
            findings.Error(path + ".min", FormattableString.Invariant($"It is {from}; a Pareto distribution starts above 0, at {least} at least."));
        else if (to <= from)
            findings.Error(path + ".max", FormattableString.Invariant($"It is {to}; it has to be above min, which is {from}."));
        else
            return (from, to);
        return null;
    }

    private static void WarnOfOthers(UnitSecondsRequest sizes, string path, RequestFindings findings)
    {
        string[] own = sizes.Distribution switch
        {
            "constant" => ["value"],
            "uniform" => ["min", "max"],
            "exponential" => ["mean"],
            "gamma" => ["shape", "scale"],
            "lognormal" => ["mu", "sigma"],
            "boundedPareto" => ["alpha", "min", "max"],
            "sample" => ["values"],
            _ => ["value", "min", "max", "mean", "shape", "scale", "mu", "sigma", "alpha", "values"],
        };
        (string Field, bool Given)[] fields =
        [
            ("value", sizes.Value is not null), ("min", sizes.Min is not null), ("max", sizes.Max is not null), ("mean", sizes.Mean is not null),
            ("shape", sizes.Shape is not null), ("scale", sizes.Scale is not null), ("mu", sizes.Mu is not null), ("sigma", sizes.Sigma is not null),
            ("alpha", sizes.Alpha is not null), ("values", sizes.Values is not null),
        ];
        foreach ((string field, bool given) in fields)
        {
            if (given && !own.Contains(field))
                findings.Warn($"{path}.{field}", $"The distribution \"{sizes.Distribution}\" has no use for it; it was left out.");
        }
    }

    private static T? Needed<T>(T? value, string path, string field, string why, RequestFindings findings)
        where T : struct
    {
        if (value is null && !findings.Concern($"{path}.{field}"))
            findings.Error($"{path}.{field}", $"It is missing; {why}.");
        return value;
    }
}
