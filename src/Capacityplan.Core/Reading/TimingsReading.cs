using System.Collections.Immutable;
using Capacityplan.Core.Fitting;

namespace Capacityplan.Core.Reading;

/// <summary>A place in a text.</summary>
/// <param name="Line">Line, from 1.</param>
/// <param name="Column">Column, UTF-16 code units from 1.</param>
/// <param name="Length">Length in UTF-16 code units.</param>
public readonly record struct TextSpan(int Line, int Column, int Length);

/// <summary>What the values beside the core counts mean.</summary>
public enum TimingValues
{
    /// <summary>Run times.</summary>
    Times,

    /// <summary>Speedups against one core; only relative times follow.</summary>
    Speedups,

    /// <summary>Rates, such as items a second; only relative times follow.</summary>
    Rates,
}

/// <summary>A timing as read, with the places it was read from.</summary>
/// <param name="Timing">The timing. Where <see cref="TimingsReading.Values"/> is not <see cref="TimingValues.Times"/> and
/// no run gave a scale, its seconds are relative to the run on the smallest core count (which has 1).</param>
/// <param name="CoresAt">Where the core count stands; several timings may share it.</param>
/// <param name="ValueAt">Where the value stands.</param>
public sealed record ReadTiming(Timing Timing, TextSpan CoresAt, TextSpan ValueAt)
{
    /// <summary>Where the input size stands; null where none does.</summary>
    public TextSpan? SizeAt { get; init; }

    /// <summary>The input size as it stands there; empty where none does.</summary>
    public string SizeText { get; init; } = "";
}

/// <summary>What a pasted text of timings was understood as.</summary>
public sealed record TimingsReading
{
    /// <summary>The timings, in the order of the text, repeats included.</summary>
    public required ImmutableArray<ReadTiming> Timings { get; init; }

    /// <summary>What was not understood, doubted or left out, in the order of the text.</summary>
    public required ImmutableArray<Problem> Problems { get; init; }

    /// <summary>What the values mean.</summary>
    public TimingValues Values { get; init; } = TimingValues.Times;

    /// <summary>True where the seconds are relative only, because the text holds speedups or rates and no run time.</summary>
    public bool IsRelative { get; init; }
}
