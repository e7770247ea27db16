using System.ComponentModel;
using System.ComponentModel.DataAnnotations;
using Capacityplan.Core.Fitting;

namespace Capacityplan.Web.Api;

/// <summary>A question put to the job without altering it; a lever that is not given leaves things as they are.</summary>
public sealed record WhatIfRequest
{
    /// <summary>The most what-ifs of a request.</summary>
    internal const int Most = 20;

    /// <summary>Its name; it only labels.</summary>
    [MaxLength(200)]
    public string? Name { get; init; }

    /// <summary>Input, times the base.</summary>
    [Range(0.001, 1_000.0)]
    [DefaultValue(1.0)]
    public double? Input { get; init; }

    /// <summary>Work T1, times the base, the span staying.</summary>
    [Range(0.001, 1_000.0)]
    [DefaultValue(1.0)]
    public double? Work { get; init; }

    /// <summary>Span, times the base, the work staying.</summary>
    [Range(0.0, 1_000.0)]
    [DefaultValue(1.0)]
    public double? Span { get; init; }

    /// <summary>Split size, times the base. It needs phases with a parallel one, or work and span, and no task graph; else it is left out.</summary>
    [Range(1e-9, 1e9)]
    [DefaultValue(1.0)]
    public double? Grain { get; init; }

    /// <summary>What forks, joins, steals and workers in each other's way take, times the base.</summary>
    [Range(0.0, 1_000.0)]
    [DefaultValue(1.0)]
    public double? Overhead { get; init; }

    /// <summary>The most workers it runs on; the default is every thread of a machine.</summary>
    [Range(1, Timing.MostCores)]
    public int? CoresAtMost { get; init; }

    /// <summary>Length of the window, seconds; the default is that of the job.</summary>
    [Range(0, 1e9, MinimumIsExclusive = true)]
    public double? WindowSeconds { get; init; }

    /// <summary>All prices, times the base.</summary>
    [Range(0.0, 1_000.0)]
    [DefaultValue(1.0)]
    public double? Price { get; init; }
}
