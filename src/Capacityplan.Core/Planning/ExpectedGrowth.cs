using System.Collections.Immutable;
using static System.Math;

namespace Capacityplan.Core.Planning;

/// <summary>The input in a month to come.</summary>
/// <param name="Month">Months from now; 1 or more.</param>
/// <param name="Factor">Input, times today's; above 0.</param>
public sealed record GrowthPoint(int Month, double Factor);

/// <summary>
/// How the input grows: by a rate every month, or by a table of months and factors, between which it grows at an even rate
/// and past which it grows by the rate.
/// </summary>
public sealed class ExpectedGrowth
{
    /// <summary>The farthest month a table may name.</summary>
    public const int FarthestMonth = 600;

    /// <summary>States it.</summary>
    /// <param name="perMonth">Growth a month, as a share; above -1 and at most 10.</param>
    /// <param name="points">The table, months ascending; may be empty.</param>
    /// <exception cref="ArgumentException">The months do not ascend from 1.</exception>
    public ExpectedGrowth(double perMonth, ImmutableArray<GrowthPoint> points = default)
    {
        PerMonth = perMonth > -1 && perMonth <= 10
            ? perMonth
            : throw new ArgumentOutOfRangeException(nameof(perMonth), perMonth, "Growth a month has to lie above -1 and be 10 at most.");
        Points = points.IsDefault ? [] : points;
        int last = 0;
        foreach (GrowthPoint point in Points)
        {
            Require.Positive(point.Factor, nameof(GrowthPoint.Factor));
            if (point.Month <= last || point.Month > FarthestMonth)
                throw new ArgumentException($"Month {point.Month} does not come after month {last}, or is past {FarthestMonth}.", nameof(points));
            last = point.Month;
        }
    }

    /// <summary>Growth a month, as a share; past the table's last month where there is a table.</summary>
    public double PerMonth { get; }

    /// <summary>The table; empty where there is none.</summary>
    public ImmutableArray<GrowthPoint> Points { get; }

    /// <summary>True where the input ever changes.</summary>
    public bool Changes => PerMonth != 0 || Points.Any(point => point.Factor != 1);

    /// <summary>Input, times today's.</summary>
    /// <param name="months">Months from now; 0 or more, need not be whole.</param>
    public double FactorAt(double months)
    {
        Require.NotNegative(months);
        (double month, double logFactor) = (0, 0);
        foreach (GrowthPoint point in Points)
        {
            if (months < point.Month)
                return Exp(logFactor + (Log(point.Factor) - logFactor) * (months - month) / (point.Month - month));
            (month, logFactor) = (point.Month, Log(point.Factor));
        }

        return Exp(logFactor) * Pow(1 + PerMonth, months - month);
    }

    /// <summary>The same growth, so many times as fast: every logarithm of a factor times it.</summary>
    /// <param name="times">0 or more.</param>
    public ExpectedGrowth Faster(double times) => new(
        Min(10, Pow(1 + PerMonth, Require.NotNegative(times)) - 1), [.. Points.Select(point => point with { Factor = Pow(point.Factor, times) })]);

    /// <summary>Months until the input first exceeds a factor; null where it does not within <see cref="FarthestMonth"/> months.</summary>
    /// <param name="factor">Input, times today's; 1 or more.</param>
    public double? MonthsUntilAbove(double factor)
    {
        if (Points.IsEmpty)
            return PerMonth > 0 ? Log(factor) / Log(1 + PerMonth) : null;
        for (int month = 1; month <= FarthestMonth; month++)
        {
            double before = Log(FactorAt(month - 1)), after = Log(FactorAt(month)), at = Log(factor);
            if (after > at)
                return month - 1 + Clamp((at - before) / (after - before), 0, 1);
        }

        return null;
    }
}
