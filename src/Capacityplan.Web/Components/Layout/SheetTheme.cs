using MudBlazor;

namespace Capacityplan.Web.Components.Layout;

/// <summary>The design language as MudBlazor's theme: square corners, no shadows, our face, and the colours of
/// <c>css/tokens.css</c> as values. <c>css/mud.css</c> does the rest.</summary>
public static class SheetTheme
{
    private static readonly string[] s_face = ["Asap", "Segoe UI", "system-ui", "sans-serif"];

    /// <summary>The theme, light and dark.</summary>
    public static MudTheme Theme { get; } = new()
    {
        PaletteLight = Fill(new PaletteLight(), new Inks(
            Desk: "#E4E9E1", Sheet: "#FBFCF8", Margin: "#EFF3EB", Well: "#F3F6EF", Tint: "#E3ECE4", Rule: "#C8D1C8",
            Edge: "#6F7F76", Secondary: "#46564E", Ink: "#14201B", Forecast: "#0B62A0", Window: "#BE1560", WhatIf: "#8A5600")),
        PaletteDark = Fill(new PaletteDark(), new Inks(
            Desk: "#0C1310", Sheet: "#141D19", Margin: "#19241F", Well: "#1A2520", Tint: "#22312A", Rule: "#303D36",
            Edge: "#80928A", Secondary: "#A9B8AF", Ink: "#E9EFE9", Forecast: "#6CC0F5", Window: "#FF6F9E", WhatIf: "#E6B352")),
        LayoutProperties = new LayoutProperties { DefaultBorderRadius = "0" },
        Shadows = new Shadow { Elevation = [.. Enumerable.Repeat("none", 26)] },
        Typography = new Typography
        {
            Default = new DefaultTypography { FontFamily = s_face, FontSize = "14px", LineHeight = "20px", LetterSpacing = "normal" },
            Body1 = new Body1Typography { FontFamily = s_face, FontSize = "14px", LineHeight = "20px", LetterSpacing = "normal" },
            Body2 = new Body2Typography { FontFamily = s_face, FontSize = "14px", LineHeight = "20px", LetterSpacing = "normal" },
            Button = new ButtonTypography { FontFamily = s_face, FontSize = "14px", FontWeight = "600", LineHeight = "20px", LetterSpacing = "normal", TextTransform = "none" },
            Caption = new CaptionTypography { FontFamily = s_face, FontSize = "12px", LineHeight = "16px", LetterSpacing = "normal" },
            H6 = new H6Typography { FontFamily = s_face, FontSize = "20px", FontWeight = "720", LineHeight = "24px", LetterSpacing = "normal" },
        },
    };

    private sealed record Inks(
        string Desk, string Sheet, string Margin, string Well, string Tint, string Rule, string Edge, string Secondary,
        string Ink, string Forecast, string Window, string WhatIf);

    // Controls are ink. The meanings MudBlazor gives green, amber and red are carried by words here, so those are ink too.
    private static T Fill<T>(T palette, Inks inks) where T : Palette
    {
        palette.Primary = inks.Ink;
        palette.PrimaryContrastText = inks.Sheet;
        palette.Secondary = inks.Secondary;
        palette.SecondaryContrastText = inks.Sheet;
        palette.Tertiary = inks.WhatIf;
        palette.TertiaryContrastText = inks.Sheet;
        palette.Info = inks.Forecast;
        palette.InfoContrastText = inks.Sheet;
        palette.Success = inks.Ink;
        palette.SuccessContrastText = inks.Sheet;
        palette.Warning = inks.Ink;
        palette.WarningContrastText = inks.Sheet;
        palette.Error = inks.Ink;
        palette.ErrorContrastText = inks.Sheet;
        palette.Dark = inks.Ink;
        palette.DarkContrastText = inks.Sheet;
        palette.TextPrimary = inks.Ink;
        palette.TextSecondary = inks.Secondary;
        palette.TextDisabled = inks.Secondary;
        palette.ActionDefault = inks.Ink;
        palette.ActionDisabled = inks.Edge;
        palette.ActionDisabledBackground = inks.Well;
        palette.Background = inks.Desk;
        palette.BackgroundGray = inks.Margin;
        palette.Surface = inks.Sheet;
        palette.AppbarBackground = inks.Desk;
        palette.AppbarText = inks.Ink;
        palette.DrawerBackground = inks.Margin;
        palette.DrawerText = inks.Ink;
        palette.DrawerIcon = inks.Ink;
        palette.LinesDefault = inks.Rule;
        palette.LinesInputs = inks.Edge;
        palette.TableLines = inks.Rule;
        palette.TableStriped = inks.Well;
        palette.TableHover = inks.Tint;
        palette.Divider = inks.Rule;
        palette.DividerLight = inks.Rule;
        palette.Skeleton = inks.Tint;
        palette.HoverOpacity = 0;
        palette.RippleOpacity = 0;
        palette.RippleOpacitySecondary = 0;
        return palette;
    }
}
