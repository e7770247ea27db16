using System.Runtime.CompilerServices;

namespace Capacityplan.Core;

/// <summary>
/// Range checks for constructors and pure functions. Each refuses NaN; infinity is refused unless its name says otherwise.
/// Comparisons are written so that NaN fails them.
/// </summary>
internal static class Require
{
    public static double Positive(double value, [CallerArgumentExpression(nameof(value))] string? name = null) =>
        value > 0 && double.IsFinite(value) ? value : throw Outside(value, name, "above 0 and finite");

    public static double NotNegative(double value, [CallerArgumentExpression(nameof(value))] string? name = null) =>
        value >= 0 && double.IsFinite(value) ? value : throw Outside(value, name, "0 or more and finite");

    public static double Within(double value, double low, double high, [CallerArgumentExpression(nameof(value))] string? name = null) =>
        value >= low && value <= high ? value : throw Outside(value, name, FormattableString.Invariant($"from {low} to {high}"));

    public static double AtLeast(double value, double low, [CallerArgumentExpression(nameof(value))] string? name = null) =>
        value >= low && double.IsFinite(value) ? value : throw Outside(value, name, FormattableString.Invariant($"{low} or more and finite"));

    public static double Above(double value, double low, [CallerArgumentExpression(nameof(value))] string? name = null) =>
        value > low && double.IsFinite(value) ? value : throw Outside(value, name, FormattableString.Invariant($"above {low} and finite"));

    public static int AtLeast(int value, int low, [CallerArgumentExpression(nameof(value))] string? name = null) =>
        value >= low ? value : throw Outside(value, name, FormattableString.Invariant($"{low} or more"));

    public static long AtLeast(long value, long low, [CallerArgumentExpression(nameof(value))] string? name = null) =>
        value >= low ? value : throw Outside(value, name, FormattableString.Invariant($"{low} or more"));

    public static decimal NotNegative(decimal value, [CallerArgumentExpression(nameof(value))] string? name = null) =>
        value >= 0 ? value : throw Outside(value, name, "0 or more");

    public static string NotBlank(string value, [CallerArgumentExpression(nameof(value))] string? name = null) =>
        !string.IsNullOrWhiteSpace(value) ? value : throw new ArgumentException($"{name} is empty; it needs a text.", name);

    private static ArgumentOutOfRangeException Outside<T>(T value, string? name, string interval) =>
        new(name, value, FormattableString.Invariant($"{name} is {value}; it has to be {interval}."));
}
