using System.Globalization;
using System.Text.RegularExpressions;
using Capacityplan.Web.Components.Layout;
using Capacityplan.Web.Tests.Serving;
using MudBlazor;

namespace Capacityplan.Web.Tests.Layout;

/// <summary>The colours stand twice, in the style sheet and in the component theme: these hold the two together, and hold
/// both to what can be read.</summary>
public sealed partial class SheetThemeTests(Site site) : IClassFixture<Site>
{
    [Theory]
    [InlineData(false)]
    [InlineData(true)]
    public async Task Palette_OfEachTheme_IsTheStyleSheets(bool dark)
    {
        Dictionary<string, string> tokens = await Tokens(dark);
        Palette palette = dark ? SheetTheme.Theme.PaletteDark : SheetTheme.Theme.PaletteLight;

        Assert.Equal(tokens["ink"], Hex(palette.Primary.Value));
        Assert.Equal(tokens["ink2"], Hex(palette.TextSecondary.Value));
        Assert.Equal(tokens["sheet"], Hex(palette.Surface.Value));
        Assert.Equal(tokens["desk"], Hex(palette.Background.Value));
        Assert.Equal(tokens["margin"], Hex(palette.BackgroundGray.Value));
        Assert.Equal(tokens["well"], Hex(palette.TableStriped.Value));
        Assert.Equal(tokens["selTint"], Hex(palette.TableHover.Value));
        Assert.Equal(tokens["rule"], Hex(palette.TableLines.Value));
        Assert.Equal(tokens["edge"], Hex(palette.LinesInputs.Value));
        Assert.Equal(tokens["forecast"], Hex(palette.Info.Value));
        Assert.Equal(tokens["whatif"], Hex(palette.Tertiary.Value));
    }

    // Thresholds: Web Content Accessibility Guidelines 2.2, success criteria 1.4.3 (text, 4.5) and 1.4.11 (marks, 3).
    [Theory]
    [InlineData(false)]
    [InlineData(true)]
    public async Task Colours_OnEveryGroundTheyStandOn_CanBeRead(bool dark)
    {
        Dictionary<string, string> tokens = await Tokens(dark);
        foreach (string ground in (string[])["sheet", "margin", "well"])
        {
            foreach (string text in (string[])["ink", "ink2", "forecast", "window", "whatif"])
                Assert.True(Contrast(tokens[text], tokens[ground]) >= 4.5, $"{text} on {ground}");
            Assert.True(Contrast(tokens["edge"], tokens[ground]) >= 3, $"edge on {ground}");
        }

        // The bar stands on the desk itself; a flagged line and a hovered row are tinted.
        Assert.True(Contrast(tokens["ink"], tokens["desk"]) >= 4.5);
        Assert.True(Contrast(tokens["ink2"], tokens["desk"]) >= 4.5);
        Assert.True(Contrast(tokens["ink"], tokens["selTint"]) >= 4.5);
        Assert.True(Contrast(tokens["ink2"], tokens["selTint"]) >= 4.5);
    }

    private async Task<Dictionary<string, string>> Tokens(bool dark)
    {
        using HttpClient client = site.CreateClient();
        string sheet = await client.GetStringAsync("/css/tokens.css", TestContext.Current.CancellationToken);
        string selector = dark ? ":root[data-theme=\"dark\"] {" : ":root {";
        int start = sheet.IndexOf(selector, StringComparison.Ordinal);
        string block = sheet[start..sheet.IndexOf('}', start)];
        return Token().Matches(block).ToDictionary(match => match.Groups[1].Value, match => match.Groups[2].Value);
    }

    // MudBlazor gives a colour as #rrggbbaa in lower case.
    private static string Hex(string colour) => colour[..7].ToUpperInvariant();

    // Relative luminance and contrast ratio as the guidelines define them.
    private static double Contrast(string one, string other)
    {
        double a = Luminance(one), b = Luminance(other);
        return (Math.Max(a, b) + 0.05) / (Math.Min(a, b) + 0.05);
    }

    private static double Luminance(string hex) =>
        (0.2126 * Linear(hex[1..3])) + (0.7152 * Linear(hex[3..5])) + (0.0722 * Linear(hex[5..7]));

    private static double Linear(string channel)
    {
        double value = int.Parse(channel, NumberStyles.HexNumber, CultureInfo.InvariantCulture) / 255.0;
        return value <= 0.04045 ? value / 12.92 : Math.Pow((value + 0.055) / 1.055, 2.4);
    }

    [GeneratedRegex("--([A-Za-z0-9]+): (#[0-9A-F]{6});")]
    private static partial Regex Token();
}
