using Capacityplan.Web.Components.Charts;

namespace Capacityplan.Web.Tests.Charts;

public sealed class AxisTicksTests
{
    private const string Gap = "\u00A0";

    [Theory]
    [InlineData(300, 20_000, "5 min|10 min|20 min|40 min|1 h|2 h|4 h")]
    [InlineData(4, 9, "4 s|5 s|6 s|7 s|8 s|9 s")]
    [InlineData(0.5, 100_000, "1 s|5 s|20 s|1 min|5 min|20 min|1 h|4 h|12 h")]
    [InlineData(0.000_02, 0.003, "20 µs|50 µs|100 µs|200 µs|500 µs|1 ms|2 ms")]
    [InlineData(10_000, 3_000_000, "4 h|8 h|16 h|1.5 days|3 days|6 days|12 days|24 days")]
    [InlineData(3_000, 4_000, "50 min|55 min|60 min|65 min")]
    public void Times_OverARange_AreTimesPeopleName(double low, double high, string labels) =>
        Assert.Equal(labels.Replace(" ", Gap, StringComparison.Ordinal), string.Join('|', AxisTicks.Times(low, high).Select(tick => tick.Label)));

    [Theory]
    [InlineData(1, 128, "1|2|4|8|16|32|64|128")]
    [InlineData(3, 20, "4|8|16")]
    [InlineData(1, 4096, "1|4|16|64|256|1,024|4,096")]
    public void PowersOfTwo_OverARange_ThinOutWhereTheyCrowd(double low, double high, string labels) =>
        Assert.Equal(labels, string.Join('|', AxisTicks.PowersOfTwo(low, high).Select(tick => tick.Label)));

    [Theory]
    [InlineData(0.8, 4.5, "€1|€1.50|€2|€3|€4")]
    [InlineData(0.02, 300, "€0.10|€1|€10|€100")]
    [InlineData(1.01, 1.13, "€1.02|€1.04|€1.06|€1.08|€1.10|€1.12")]
    public void Money_OverARange_IsRound(double low, double high, string labels) =>
        Assert.Equal(labels, string.Join('|', AxisTicks.Money(low, high, "EUR").Select(tick => tick.Label)));

    [Theory]
    [InlineData(600, 4800, "minutes", "10|20|30|40|50|60|70|80")]
    [InlineData(10_000, 40_000, "hours", "4|6|8|10")]
    [InlineData(20, 100, "seconds", "20|30|40|50|60|70|80|90|100")]
    public void EvenTimes_OverARange_CountOneUnit(double low, double high, string unit, string labels)
    {
        Assert.Equal(labels, string.Join('|', AxisTicks.EvenTimes(low, high, out string named).Select(tick => tick.Label)));
        Assert.Equal(unit, named);
    }

    [Theory]
    [InlineData(1e-6, 2e-6)]
    [InlineData(0.4, 0.41)]
    [InlineData(59.9, 60.2)]
    [InlineData(1, 1e9)]
    [InlineData(86_000, 90_000)]
    public void Times_OverAnyRange_AreAscendingWithinItAndFew(double low, double high)
    {
        double[] values = [.. AxisTicks.Times(low, high).Select(tick => tick.Value)];

        Assert.InRange(values.Length, 1, 12);
        Assert.Equal(values.Order().Distinct(), values);
        Assert.All(values, value => Assert.InRange(value, low * (1 - 1e-6), high * (1 + 1e-6)));
    }
}
