using System.Globalization;
using Capacityplan.Core.Jobs;

namespace Capacityplan.Core.Tests.Planning;

/// <summary>The phase that a row of reference/stealing/reference.csv was simulated of.</summary>
internal static class ReferencePhase
{
    public static IReadOnlyList<ReferenceTable> Rows { get; } = ReferenceTable.Rows("stealing/reference.csv");

    public static ParallelPhase Of(ReferenceTable row) => new(
        "reference", (long)row.Number("N"), Sizes(row), (long)row.Number("grain"), new SchedulingCosts
        {
            ForkSeconds = row.Number("o_fork"),
            JoinSeconds = row.Number("o_join"),
            CombineSecondsPerUnit = row.Number("c_combine"),
            StealAttemptSeconds = row.Number("a"),
            StealSeconds = row.Number("o_steal"),
        });

    internal static TaskSizes Sizes(ReferenceTable row)
    {
        Dictionary<string, double> of = row.Text("params").Split(';').Select(one => one.Split('='))
            .ToDictionary(one => one[0], one => double.Parse(one[1], CultureInfo.InvariantCulture));
        return row.Text("distribution") switch
        {
            "constant" => new ConstantSizes(of["value"]),
            "uniform" => new UniformSizes(of["lo"], of["hi"]),
            "exponential" => new ExponentialSizes(of["mean"]),
            "gamma" => new GammaSizes(of["shape"], of["scale"]),
            "lognormal" => new LognormalSizes(of["mu"], of["sigma"]),
            "bounded_pareto" => new BoundedParetoSizes(of["alpha"], of["L"], of["H"]),
            _ => throw new InvalidOperationException($"No such distribution: '{row}'."),
        };
    }
}
