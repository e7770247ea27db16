namespace Capacityplan.EndToEnd.Tests;

/// <summary>What the sheet's blanks are called.</summary>
internal static class BlankLabels
{
    public const string Name = "Name of the job";
    public const string Owner = "Whose job it is";
    public const string StartsAt = "Start of the window, a time of day";
    public const string DoneBy = "End of the window, a time of day or a length such as 60 min";
    public const string MissOneIn = "May miss one night in";
    public const string Memory = "Memory needed";
    public const string Growth = "Growth of the input a month, in per cent";
    public const string MeasuredOn = "Name of the machine measured on";
    public const string SecondThreadGain = "What a second hardware thread adds, in per cent of a core";
    public const string WhatIfInput = "What if: input, times the base";
}
