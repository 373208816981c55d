//! From light to a picture file: uneven light, blur, noise, tone, JPEG.

use image::{ExtendedColorType, GrayImage, ImageEncoder, ImageFormat};

use super::printer::kernel;
use super::random::Random;
use super::render::Canvas;

/// What a sensor and its program do to the light.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Sensor {
    /// Blur of a lens out of focus, on top of its spot.
    pub(crate) blur_px: f64,
    /// How much the light changes from the middle to each side, and towards all corners (below zero: darker).
    pub(crate) light: [f64; 3],
    /// Standard deviation of noise, in grey levels of 255.
    pub(crate) noise_levels: f64,
    /// Picture value is light to the power of one over this.
    pub(crate) gamma: f64,
    /// Quality of JPEG, 1 to 100, if the picture goes through it.
    pub(crate) jpeg: Option<u8>,
}

impl Sensor {
    pub(crate) const PERFECT: Self = Self {
        blur_px: 0.0,
        light: [0.0; 3],
        noise_levels: 0.0,
        gamma: 1.0,
        jpeg: None,
    };

    pub(crate) fn take(&self, mut canvas: Canvas, random: &mut Random) -> GrayImage {
        if self.blur_px > 0.0 {
            blur(&mut canvas, self.blur_px);
        }
        let tone: Vec<f32> = (0..=4096)
            .map(|i| (255.0 * libm::pow(f64::from(i) / 4096.0, 1.0 / self.gamma)) as f32)
            .collect();
        let (width, height) = (canvas.width, canvas.height);
        let mut grey = vec![0_u8; width * height];
        let noise = self.noise_levels as f32;
        for (y, (out, row)) in grey
            .chunks_exact_mut(width)
            .zip(canvas.light.chunks_exact(width))
            .enumerate()
        {
            let v = 2.0 * y as f32 / height as f32 - 1.0;
            for (x, (out, light)) in out.iter_mut().zip(row).enumerate() {
                let u = 2.0 * x as f32 / width as f32 - 1.0;
                let lamp = 1.0
                    + self.light[0] as f32 * u
                    + self.light[1] as f32 * v
                    + self.light[2] as f32 * (u * u + v * v);
                let value = tone[((light * lamp).clamp(0.0, 1.0) * 4096.0) as usize];
                *out = (value + noise * random.rough_normal() + 0.5).clamp(0.0, 255.0) as u8;
            }
        }
        let picture = GrayImage::from_raw(width as u32, height as u32, grey)
            .expect("there is a byte for each pixel");
        match self.jpeg {
            Some(quality) => through_jpeg(&picture, quality),
            None => picture,
        }
    }
}

fn through_jpeg(picture: &GrayImage, quality: u8) -> GrayImage {
    let mut bytes = Vec::new();
    image::codecs::jpeg::JpegEncoder::new_with_quality(&mut bytes, quality)
        .write_image(
            picture.as_raw(),
            picture.width(),
            picture.height(),
            ExtendedColorType::L8,
        )
        .expect("a picture in memory can be written");
    image::load_from_memory_with_format(&bytes, ImageFormat::Jpeg)
        .expect("what was just written can be read")
        .to_luma8()
}

/// Softens by a bell curve; borders repeat their last pixel.
pub(super) fn blur(canvas: &mut Canvas, sigma_px: f64) {
    let kernel = kernel(sigma_px);
    let reach = kernel.len() / 2;
    let width = canvas.width;
    let mut padded = vec![0.0_f32; width + 2 * reach];
    for row in canvas.light.chunks_exact_mut(width) {
        padded[..reach].fill(row[0]);
        padded[reach..reach + width].copy_from_slice(row);
        padded[reach + width..].fill(row[width - 1]);
        for (x, out) in row.iter_mut().enumerate() {
            *out = kernel.iter().zip(&padded[x..]).map(|(w, v)| w * v).sum();
        }
    }
    let source = canvas.light.clone();
    for (y, out) in canvas.light.chunks_exact_mut(width).enumerate() {
        out.fill(0.0);
        for (i, weight) in kernel.iter().enumerate() {
            let from = (y + i).saturating_sub(reach).min(canvas.height - 1);
            for (out, value) in out.iter_mut().zip(&source[from * width..]) {
                *out += weight * value;
            }
        }
    }
}
